"""What a review of a practised case holds: the figures that are judged, and the sentences that are said of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.practising.replay import Moment

Verdict = Literal["right", "missed-some", "added-some", "partly", "wrong"]


@dataclass(frozen=True, slots=True)
class StatedCause:
    """A cause with the probability stated of it, that which the evidence found carries, and whether it is so."""

    cause: str
    title: str
    stated: float
    carried: float
    came_true: bool
    named: bool


@dataclass(frozen=True, slots=True)
class Told:
    """Evidence that was asked for, and what it told [bits]."""

    title: str
    answer: str
    bits: float


@dataclass(frozen=True, slots=True)
class MissedEvidence:
    """Evidence never asked for, and what it would have told beyond all that was found [bits]."""

    id: str
    title: str
    answer: str
    bits: float
    cost: str


@dataclass(frozen=True, slots=True)
class OrderedQuestion:
    """A question of the best order: its place there, and its place among those asked (None: never)."""

    question: str
    title: str
    place: int
    asked_as: int | None
    late: bool


@dataclass(frozen=True, slots=True)
class Order:
    """How the questions led to what the whole evidence says, beside the best order; minutes are of questions alone.

    Where the whole evidence determines nothing, neither order reaches it. ``early`` is the share of the best order that
    was asked in time.
    """

    reached: bool
    minutes: float
    best_reached: bool
    best_minutes: float
    best: tuple[OrderedQuestion, ...]
    early: float


@dataclass(frozen=True, slots=True)
class MissedCaution:
    """A caution that the case calls for and that was not named; ``seen`` where its reason had been found."""

    caution: str
    title: str
    seen: bool


@dataclass(frozen=True, slots=True)
class Safety:
    """What was missed of safety.

    ``unasked`` are the questions of safety that were not asked, each with whether its answer here raises a caution, of
    ``questions`` in all. That the case may not answer one cannot be known before it is asked.
    """

    missed: tuple[MissedCaution, ...]
    unasked: tuple[tuple[str, bool], ...]
    questions: int


@dataclass(frozen=True, slots=True)
class Break:
    """A finding that speaks against an easy answer, and whether it had been found."""

    finding: str
    title: str
    state: str
    seen: bool


@dataclass(frozen=True, slots=True)
class Trap:
    """The answer that a case is easily taken for, whether it was given and how surely, and what breaks it."""

    cause: str
    fallen: bool
    stated: float
    breaks: tuple[Break, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the review as it is said: sentences, then points under them."""

    id: str
    sentences: tuple[str, ...]
    points: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Review:
    """The whole review. Views only show it."""

    verdict: Verdict
    truth: tuple[str, ...]
    missed: tuple[str, ...]
    added: tuple[str, ...]
    stated: tuple[StatedCause, ...]
    brier: float
    settled_by_key: bool
    settled_by_evidence: bool
    items: int
    idle: int
    unanswered: int
    minutes: float
    pounds: float
    told: tuple[Told, ...]
    missed_evidence: tuple[MissedEvidence, ...]
    order: Order
    safety: Safety
    trap: Trap | None
    timber: str
    timber_should: str
    timber_judged: str
    steps_missed: tuple[str, ...]
    steps_too_early: tuple[str, ...]
    replay: tuple[Moment, ...]
    sections: tuple[Section, ...]
    invented: bool
    grade: str
