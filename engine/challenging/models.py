"""What an audit of a stated conclusion finds. Views only show it.

Weights are decibans [dB]; probabilities are in 0..1; odds are of a rival against what is held. Every tuple is in a
stated, repeatable order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["agrees", "agrees-in-part", "open", "differs"]
"""How the opinion stands to what is held: the same; partly the same; not determined either way; another."""
Standing = Literal["better", "as-well", "less-well"]
"""How a rival explains the evidence beside what is held: by the words *likely* and *unlikely* for the two alone."""


@dataclass(frozen=True, slots=True)
class Held:
    """One cause that is held, and how strongly it is believed."""

    cause: str
    title: str
    probability: float
    words: str


@dataclass(frozen=True, slots=True)
class Voice:
    """Something that speaks for or against a held cause [dB]: a finding, a leaning, or a rule that rules it out.

    ``state`` and ``sureness`` are a finding's; ``because`` is a rule's reason, with what would overturn an exclusion.
    An exclusion's weight is infinite where it is hard.
    """

    kind: Literal["finding", "leaning", "exclusion"]
    id: str
    title: str
    state: str
    sureness: str
    cause: str
    decibans: float
    because: str = ""


@dataclass(frozen=True, slots=True)
class Misfit:
    """A certain finding that is improbable were exactly the held causes at work, and its chance under the best set."""

    finding: str
    title: str
    state: str
    probability: float
    under_best: float


@dataclass(frozen=True, slots=True)
class Weighing:
    """A finding's weight of evidence [dB] between two sets of causes, and the tests by which it is found."""

    finding: str
    title: str
    state: str
    decibans: float
    tests: tuple[tuple[str, str], ...]
    """(step, title) pairs."""


@dataclass(frozen=True, slots=True)
class Rival:
    """A set of causes that leaves out something held: how it explains the same evidence, and by which findings."""

    causes: tuple[str, ...]
    titles: tuple[str, ...]
    odds: float
    standing: Standing
    explains_better: tuple[Weighing, ...]
    explains_worse: tuple[Weighing, ...]


@dataclass(frozen=True, slots=True)
class NeededCheck:
    """A check that the conclusion needs, about which rival, whether it was made, and the step that makes it."""

    cause: str
    rival: str
    rival_title: str
    title: str
    made: bool
    step: str
    step_title: str


@dataclass(frozen=True, slots=True)
class Work:
    """A work that treats a held cause; one that cannot be undone waits for ``reasons``."""

    step: str
    title: str
    causes: tuple[str, ...]
    irreversible: bool
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """Works that somebody proposes, and what the rules say must be known first: (reason, steps' titles) pairs."""

    title: str
    first: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Result:
    """What a test looks for, and how likely it is, in words, with what is held and with the rival."""

    finding: str
    title: str
    if_held: str
    if_rival: str


@dataclass(frozen=True, slots=True)
class PartingTest:
    """The test, for its effort, that would tell most between what is held and its best rival [bits]."""

    step: str
    title: str
    bits: float
    effort: str
    cost: str
    who: str
    results: tuple[Result, ...]


@dataclass(frozen=True, slots=True)
class Grounds:
    """What stated grounds alone would support.

    ``unrecorded`` grounds have no answer in the case; ``silent`` ones no rule weighed by themselves. ``held`` gives
    the belief on these grounds alone, ``rivals`` the sets that explain them as well or better, ``missing`` the gate's
    checks that they do not make, ``left_out`` the findings that break what is held and are not among the grounds.
    """

    ids: tuple[str, ...]
    titles: tuple[str, ...]
    unrecorded: tuple[str, ...]
    silent: tuple[str, ...]
    findings: tuple[tuple[str, str, str], ...]
    """(finding, title, state) triples that the grounds support."""
    held: tuple[Held, ...]
    likely: tuple[Held, ...]
    rivals: tuple[Rival, ...]
    missing: tuple[NeededCheck, ...]
    left_out: tuple[Weighing, ...]


@dataclass(frozen=True, slots=True)
class Challenge:
    """The audit of one stated conclusion on one area.

    ``determined``, ``level`` and ``leading`` are the opinion's own answer.
    ``explanation`` is the set that stands for what is held when it is set beside rivals: what the opinion adds to it
    where the best joint explanation holds all of it, else exactly what is held. ``breaks`` are the findings by which a
    conclusion that the opinion does not share is shown wrong or incomplete, weightiest first. ``known_tests`` (step,
    title) are those whose records say that they tell what is held from its nearest rival.
    """

    area: str
    title: str
    held: tuple[Held, ...]
    nothing_held: bool
    verdict: Verdict
    determined: bool
    level: str
    leading: tuple[str, ...]
    summary: str
    added: tuple[Held, ...]
    explanation: tuple[str, ...]
    supports: tuple[Voice, ...]
    against: tuple[Voice, ...]
    unexplained: tuple[Misfit, ...]
    breaks: tuple[Weighing, ...]
    rivals: tuple[Rival, ...]
    checks: tuple[NeededCheck, ...]
    works: tuple[Work, ...]
    proposed: Proposal | None
    test: PartingTest | None
    known_tests: tuple[tuple[str, str], ...]
    weakest_point: str
    questions: tuple[str, ...]
    grounds: Grounds | None
