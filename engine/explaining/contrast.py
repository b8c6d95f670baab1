"""Why one cause rather than another: what tells them apart here, and what would."""

from __future__ import annotations

from dataclasses import dataclass

from engine.explaining.subject import Subject
from engine.explaining.why import Contribution, Excluded, Lean, why
from engine.explaining.wording import LEAST_SAID
from engine.opinion.words import decibans
from engine.rulebook.compiling import strength_levels

PARTING = 3.0
"""Weight [dB] by which an open finding must be likelier with one cause than with the other to be told."""
SHOWN = 6


@dataclass(frozen=True, slots=True)
class Told:
    """A finding that tells two causes apart, with its weight for each [dB]."""

    item: Contribution
    first: float
    second: float

    @property
    def difference(self) -> float:
        """By how much more it weighs for the first."""
        return self.first - self.second


@dataclass(frozen=True, slots=True)
class Parting:
    """An open finding that would tell the causes apart: how often each makes it, in words; questions and steps."""

    finding: str
    title: str
    with_first: str
    with_second: str
    decibans: float
    questions: tuple[str, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Contrast:
    """Why the first of two causes rather than the second; ``excluded`` and ``leanings`` are (first's, second's)."""

    first: str
    second: str
    probabilities: tuple[float, float]
    base_rates: tuple[float, float]
    excluded: tuple[tuple[Excluded, ...], tuple[Excluded, ...]]
    leanings: tuple[tuple[Lean, ...], tuple[Lean, ...]]
    told_apart: tuple[Told, ...]
    parting: tuple[Parting, ...]


def contrast(subject: Subject, first: str, second: str) -> Contrast:
    """What tells two causes apart in an area; KeyError for a cause that the rule base does not know."""
    one, other = why(subject, first), why(subject, second)
    ones = {item.finding: item for item in one.contributions}
    others = {item.finding: item for item in other.contributions}
    told = [
        Told(
            ones.get(finding) or others[finding],
            ones[finding].decibans if finding in ones else 0.0,
            others[finding].decibans if finding in others else 0.0,
        )
        for finding in sorted({*ones, *others})
    ]
    return Contrast(
        first=first,
        second=second,
        probabilities=(one.probability, other.probability),
        base_rates=(one.base_rate, other.base_rate),
        excluded=(one.exclusions, other.exclusions),
        leanings=(one.leanings, other.leanings),
        told_apart=tuple(
            sorted(
                (t for t in told if abs(t.difference) >= LEAST_SAID), key=lambda t: (-abs(t.difference), t.item.finding)
            )
        ),
        parting=_parting(subject, first, second),
    )


def _parting(subject: Subject, first: str, second: str) -> tuple[Parting, ...]:
    """The open findings that one cause makes much oftener than the other, most telling first."""
    book, seen = subject.reasoner.rulebook, subject.judged.belief.posterior.observed
    found = []
    for finding in book.findings.values():
        level = strength_levels(finding)[0]
        if finding.id in seen or not {first, second} & set(level.makes):
            continue
        words = [level.makes.get(cause, level.background) for cause in (first, second)]
        numbers = [book.word("frequency", word) for word in words]
        weight = decibans(numbers[0] / numbers[1])
        if abs(weight) >= PARTING:
            said = [word.replace("-", " ") for word in words]
            asked = tuple(s.attribute for s in finding.observed_by if s.attribute in book.questions)
            steps = tuple(step.id for step in book.steps.values() if finding.id in step.settles)
            if asked or steps:
                found.append(Parting(finding.id, finding.title, said[0], said[1], weight, asked, steps))
    return tuple(sorted(found, key=lambda item: (-abs(item.decibans), item.finding))[:SHOWN])
