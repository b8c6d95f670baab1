"""The opinion: the one object that every view renders. Views only show it; nothing is reasoned after it.

Probabilities are numbers in 0..1; weights of evidence are decibans [dB], 10·log10 of a likelihood ratio
(I. J. Good, *Probability and the Weighing of Evidence*, 1950). Words of belief follow the IPCC AR5 guidance
note on uncertainty (2010). Every tuple is in a stated, repeatable order, so that the same case and the same
rules give the same bytes.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Matched:
    """One fact that a rule rested on, as it reads: the attribute's title, the value's words, how sure."""

    attribute: str
    title: str
    value: str
    sureness: str
    origin: str


@dataclass(frozen=True, slots=True)
class TraceLine:
    """One rule that fired: on which facts, what it concluded, why, and on whose authority."""

    rule: str
    title: str
    stratum: str
    matched: tuple[Matched, ...]
    conclusions: tuple[str, ...]
    sureness: str
    because: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Reason:
    """A finding's weight of evidence for (positive) or against (negative) a cause [dB], by re-weighing without it."""

    finding: str
    title: str
    state: str
    sureness: str
    decibans: float
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Leaning:
    """What building and place say about a cause before any sign is read [dB], and the rule that says it."""

    rule: str
    title: str
    decibans: float
    because: str


@dataclass(frozen=True, slots=True)
class Exclusion:
    """A cause ruled out by a rule; ``hard`` when a certain, seen or measured fact does it, else −20 dB."""

    rule: str
    because: str
    hard: bool
    overturned_by: str


@dataclass(frozen=True, slots=True)
class GateCheck:
    """One check that must be made about a rival before a cause may be firm, and whether it was."""

    rival: str
    title: str
    made: bool
    step: str


@dataclass(frozen=True, slots=True)
class CauseOpinion:
    """How strongly one cause is believed, and why."""

    id: str
    title: str
    plain: str
    kind: str
    mechanism: str
    probability: float
    words: str
    band: str
    base_rate: float
    prior: float
    evidence_decibans: float
    reasons: tuple[Reason, ...]
    leanings: tuple[Leaning, ...]
    exclusions: tuple[Exclusion, ...]
    gate: tuple[GateCheck, ...]


@dataclass(frozen=True, slots=True)
class MechanismOpinion:
    """The probability that any cause of one mechanism is at work."""

    id: str
    title: str
    probability: float
    words: str
    band: str
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """A set of causes that together explain the findings, with its probability; may be empty (none of them)."""

    causes: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class Unexplained:
    """A certain finding that the best joint explanation makes improbable."""

    finding: str
    title: str
    state: str
    probability: float


@dataclass(frozen=True, slots=True)
class Contested:
    """A finding concluded both ways: left out of the weighing, to be checked again."""

    finding: str
    title: str
    claims: tuple[tuple[str, str], ...]
    """(state, rule) pairs."""


@dataclass(frozen=True, slots=True)
class OpenFinding:
    """Evidence not yet had: what it would be worth [bits] and the step or question that would give it."""

    finding: str
    title: str
    bits: float
    questions: tuple[str, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepAdvice:
    """Something to do next, in order; ``held_back`` says why an irreversible step must wait."""

    id: str
    title: str
    kind: str
    purpose: str
    how: str
    plain: str
    parts: tuple[str, ...]
    bits: float
    effort: str
    cost: str
    who: str
    urgency: str
    means: tuple[tuple[str, str], ...]
    rules: tuple[str, ...]
    held_back: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CautionAdvice:
    """A hazard to people, the rules that raised it, and to whom it defers."""

    id: str
    title: str
    text: str
    defer_to: str
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TimberOpinion:
    """Timber: at risk, decay seen and not inspected are kept apart."""

    state: str
    words: str
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Voided:
    """An instrument whose readings were set aside, the rule that did it, and how many readings."""

    instrument: str
    visit: str
    rule: str
    because: str
    readings: int


@dataclass(frozen=True, slots=True)
class Limit:
    """Something not inspected, not compared or not known that limits the opinion."""

    what: str
    why: str


@dataclass(frozen=True, slots=True)
class NoActiveDamp:
    """The probability that no wetting cause is at work; said only when there is evidence of dryness."""

    probability: float
    words: str
    reportable: bool


@dataclass(frozen=True, slots=True)
class AreaOpinion:
    """The opinion on one damp place."""

    id: str
    title: str
    reference_class: str
    determined: bool
    level: str
    leading: tuple[str, ...]
    leading_mechanisms: tuple[str, ...]
    why_not_determined: tuple[str, ...]
    causes: tuple[CauseOpinion, ...]
    mechanisms: tuple[MechanismOpinion, ...]
    explanations: tuple[Explanation, ...]
    unexplained: tuple[Unexplained, ...]
    contested: tuple[Contested, ...]
    unknown: bool
    unknown_because: tuple[str, ...]
    no_active_damp: NoActiveDamp
    open_findings: tuple[OpenFinding, ...]
    carried_by: tuple[str, ...]
    timber: TimberOpinion
    steps: tuple[StepAdvice, ...]
    cautions: tuple[CautionAdvice, ...]
    voided: tuple[Voided, ...]
    limits: tuple[Limit, ...]
    doubts: tuple[str, ...]
    sets_up_to: int
    estimated_error: float
    trace: tuple[TraceLine, ...]


@dataclass(frozen=True, slots=True)
class Stamp:
    """The digest (and version or title) that pins one input of the opinion."""

    digest: str
    title: str


@dataclass(frozen=True, slots=True)
class Opinion:
    """The whole answer for one case."""

    case: Stamp
    rulebook: Stamp
    version: str
    invented: bool
    areas: tuple[AreaOpinion, ...]
