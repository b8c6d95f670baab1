"""The verdict explained: what is determined or why nothing is, the gates check by check, and what does not fit."""

from __future__ import annotations

from dataclasses import dataclass

from engine.explaining.subject import Subject
from engine.explaining.why import Contribution, RuleNode, Tree, why
from engine.explaining.wording import fact_words, lack_words
from engine.inference.conditions import Outcome, evaluate
from engine.inference.near_misses import lacking
from engine.opinion.models import Unexplained

SPEAKS_AGAINST = 3.0
"""Weight [dB] from which a finding against a leading cause is told as not fitting."""


@dataclass(frozen=True, slots=True)
class CheckAccount:
    """One check of a gate: what made it, or what it lacks, in words; and the step that makes it."""

    rival: str
    title: str
    made: bool
    because: tuple[str, ...]
    step: str


@dataclass(frozen=True, slots=True)
class GateAccount:
    """The gate of a cause: passed when every check against its rivals is made."""

    cause: str
    title: str
    passed: bool
    checks: tuple[CheckAccount, ...]


@dataclass(frozen=True, slots=True)
class Claim:
    """One side of a contested finding: the state and the rule that concludes it."""

    state: str
    rule: RuleNode


@dataclass(frozen=True, slots=True)
class ContestedFinding:
    """A finding concluded both ways, and so left out of the weighing."""

    finding: str
    title: str
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class Against:
    """A finding that speaks against a leading cause."""

    cause: str
    item: Contribution


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is determined at which level, the findings' weight for what leads [dB], why not, and the gates."""

    determined: bool
    level: str
    leading: tuple[str, ...]
    leading_mechanisms: tuple[str, ...]
    open: tuple[str, ...]
    evidence: tuple[tuple[str, float], ...]
    why_not: tuple[str, ...]
    carried_by: tuple[str, ...]
    gates: tuple[GateAccount, ...]


@dataclass(frozen=True, slots=True)
class Misfits:
    """What does not fit: improbable findings, findings against the lead, findings concluded both ways, the unknown."""

    best: tuple[str, ...]
    unexplained: tuple[Unexplained, ...]
    against: tuple[Against, ...]
    contested: tuple[ContestedFinding, ...]
    unknown_because: tuple[str, ...]


def verdict(subject: Subject) -> Verdict:
    """What the evidence in an area determines, and why, or why it does not."""
    found, opinion = subject.judged.determination, subject.opinion
    open_at_least = subject.reasoner.rulebook.parameter("open-at-least")
    still_open = tuple(cause.id for cause in opinion.causes if cause.probability >= open_at_least)
    gated = subject.foremost if found.determined else tuple(dict.fromkeys((*subject.foremost, *still_open)))[:3]
    return Verdict(
        determined=found.determined,
        level=found.level,
        leading=found.leading,
        leading_mechanisms=found.leading_mechanisms,
        open=still_open,
        evidence=tuple((cause, subject.causes[cause].evidence_decibans) for cause in subject.foremost),
        why_not=found.why_not,
        carried_by=opinion.carried_by,
        gates=tuple(gate_account(subject, cause) for cause in gated if subject.reasoner.gates[cause]),
    )


def gate_account(subject: Subject, cause: str) -> GateAccount:
    """The gate of a cause, check by check."""
    book, facts = subject.reasoner.rulebook, subject.judged.evidence.facts
    checks = []
    for rival, check, condition in subject.reasoner.gates[cause]:
        evaluation = evaluate(condition, facts)
        made = evaluation.outcome is Outcome.HOLDS
        if made:
            here = subject.area.title
            because = tuple(fact_words(book, facts[name], here) for name in evaluation.rests_on if name in facts)
        else:
            because = tuple(lack_words(book, lack) for lack in lacking(condition, facts))
        checks.append(CheckAccount(rival, check.title, made, because, check.step))
    return GateAccount(cause, book.title(cause), all(check.made for check in checks), tuple(checks))


def misfits(subject: Subject) -> Misfits:
    """What in an area does not fit what is believed of it."""
    tree, opinion = Tree(subject), subject.opinion
    return Misfits(
        best=subject.judged.belief.posterior.sets(1)[0][0],
        unexplained=opinion.unexplained,
        against=tuple(
            Against(cause, item)
            for cause in subject.judged.determination.leading
            for item in why(subject, cause).contributions
            if item.decibans <= -SPEAKS_AGAINST
        ),
        contested=tuple(
            ContestedFinding(
                item.finding, item.title, tuple(Claim(state, tree.rule(rule)) for state, rule in item.claims)
            )
            for item in opinion.contested
        ),
        unknown_because=opinion.unknown_because,
    )
