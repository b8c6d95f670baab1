"""How sure: the belief in words, how it stands shaking, and what happens with any one thing taken away."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from engine.explaining.steadiness import Steadiness, steadiness
from engine.explaining.subject import Subject
from engine.explaining.wording import fact_words
from engine.opinion.determining import leading_causes
from engine.opinion.reasoner import without


@dataclass(frozen=True, slots=True)
class Drop:
    """The opinion without one fact: the foremost causes' probabilities, what leads, whether that is the same."""

    attribute: str
    title: str
    said: str
    probabilities: tuple[float, ...]
    leading: tuple[str, ...]
    leads: bool


@dataclass(frozen=True, slots=True)
class Sure:
    """A cause's belief: probability, its word and the band of that word."""

    cause: str
    title: str
    probability: float
    words: str
    band: str


@dataclass(frozen=True, slots=True)
class HowSure:
    """Bands, steadiness and drop-one; ``drops`` weightiest first, ``untold`` what is left without all that was told."""

    foremost: tuple[Sure, ...]
    steadiness: Steadiness
    drops: tuple[Drop, ...]
    told: int
    untold: tuple[float, ...]
    untold_leads: bool


def how_sure(subject: Subject, *, seed: int = 0) -> HowSure:
    """How sure the opinion on an area is; the seed shakes the same way every time."""
    told = [name for name, fact in sorted(subject.facts.items()) if not fact.direct and name in _used(subject)]
    untold, untold_leading = _left(subject, told)
    causes = subject.causes
    return HowSure(
        foremost=tuple(
            Sure(c, causes[c].title, causes[c].probability, causes[c].words, causes[c].band) for c in subject.foremost
        ),
        steadiness=steadiness(subject, seed=seed),
        drops=_drops(subject),
        told=len(told),
        untold=untold,
        untold_leads=_same(subject, untold_leading),
    )


def _used(subject: Subject) -> frozenset[str]:
    """The attributes on which a rule that fired rests."""
    return frozenset(fact.attribute for firing in subject.judged.evidence.firings for fact in firing.matched)


def _left(subject: Subject, dropped: Iterable[str]) -> tuple[tuple[float, ...], tuple[str, ...]]:
    """The foremost causes' probabilities without some facts, and what leads then."""
    belief = subject.reasoner.believe(subject.reasoner.find(without(subject.facts, *dropped)))
    marginals = belief.posterior.marginals
    return tuple(marginals[cause] for cause in subject.foremost), leading_causes(subject.reasoner, belief)


def _same(subject: Subject, leading: Iterable[str]) -> bool:
    return set(leading) == set(subject.judged.determination.leading)


def _drops(subject: Subject) -> tuple[Drop, ...]:
    """Every fact that a rule rested on, taken away by itself; those that cost the lead or most of its weight first."""
    book, used = subject.reasoner.rulebook, _used(subject)
    found = []
    for name, fact in sorted(subject.facts.items()):
        if name in used:
            probabilities, leading = _left(subject, [name])
            same = _same(subject, leading)
            found.append(
                Drop(name, book.title(name), fact_words(book, fact, subject.area.title), probabilities, leading, same)
            )
    before = [subject.causes[cause].probability for cause in subject.foremost]

    def cost(drop: Drop) -> float:
        return max((was - left for was, left in zip(before, drop.probabilities, strict=True)), default=0.0)

    return tuple(sorted(found, key=lambda drop: (drop.leads, -cost(drop), drop.attribute)))
