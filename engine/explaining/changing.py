"""What would change the answer: the fewest, cheapest questions whose answers would flip the lead or undo the verdict.

Every answer that a question could have is chained and weighed on its own, the cheapest first; then pairs, and threes
where neither ones nor pairs do it, among the answers that move the opinion most. What is found is weighed once more
from a changed copy of the case, and only what flips there too is told. Smallest sets only: no part of one flips by
itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import log

from engine.explaining.answers import Answer, possible_answers
from engine.explaining.subject import Subject
from engine.explaining.what_if import Standing, standing, supposed
from engine.inference.conditions import attributes
from engine.opinion.determining import leading_causes
from engine.opinion.reasoner import Belief, Evidence
from engine.opinion.weighing import judge

ENOUGH = 8
"""How many sets are sought of open questions, and as many of answers to check again."""
STIR = 0.46
"""By how much log-odds must move (2 dB) before the verdict is tested in full although the same causes lead."""
HARDLY_FITS = 0.35
"""Chance under the best explanation below which a new finding may raise the suspicion of something unknown."""
MOVERS = 8
"""From how many of the answers that move the opinion most, pairs and threes are made."""


@dataclass(frozen=True, slots=True)
class Flip:
    """A smallest set of answers after which something else leads, or the verdict is another.

    ``new_obstacles`` are what then stands in the way of a verdict and did not before. ``reopens`` when the answers are
    of questions already answered, so that they would have to have been wrong.
    """

    answers: tuple[Answer, ...]
    minutes: float
    reopens: bool
    after: Standing
    new_obstacles: tuple[str, ...]
    probabilities: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class WhatWouldChange:
    """The sets found, open questions first, cheapest first; and how many replays the search took."""

    before: Standing
    flips: tuple[Flip, ...]
    replays: int


def what_would_change(subject: Subject) -> WhatWouldChange:
    """Search one area for the smallest sets of answers that flip its lead or its verdict."""
    search = _Search(subject)
    flips = [flip for reopened in (False, True) for flip in search.run(reopened)]
    return WhatWouldChange(standing(subject), tuple(flips), search.replays)


@dataclass(frozen=True, slots=True)
class _Trial:
    flips: bool
    movement: float


class _Search:
    def __init__(self, subject: Subject) -> None:
        self._subject = subject
        self._answers = possible_answers(subject)
        self._gated = gate_attributes(subject)
        self.replays = 0

    def run(self, reopened: bool) -> list[Flip]:
        """The flips among open questions, or among those already answered."""
        flips: list[Flip] = []
        movers: list[tuple[float, Answer]] = []
        for answer in self._answers:
            if (answer.was is not None) != reopened or len(flips) == ENOUGH:
                continue
            trial = self._try([answer])
            if trial is not None and trial.flips:
                flips += self._confirmed([answer])
            elif trial is not None:
                movers.append((trial.movement, answer))
        best = [answer for _, answer in sorted(movers, key=lambda m: (-m[0], m[1].minutes, m[1].attribute))[:MOVERS]]
        for size in (2, 3):
            if size == 3 and flips:
                break
            flips += self._together(best, size, ENOUGH - len(flips), flips)
        return sorted(flips, key=lambda flip: (flip.minutes, len(flip.answers), [a.attribute for a in flip.answers]))

    def _together(self, best: Sequence[Answer], size: int, wanted: int, found: list[Flip]) -> list[Flip]:
        groups = [g for g in combinations(best, size) if len({answer.attribute for answer in g}) == size]
        groups.sort(key=lambda group: (sum(a.minutes for a in group), [(a.attribute, str(a.value)) for a in group]))
        flips: list[Flip] = []
        for group in groups:
            if len(flips) >= wanted:
                break
            trial = self._try(group)
            if trial is not None and trial.flips:
                flips += self._confirmed(group)
        return flips

    def _try(self, answers: Sequence[Answer]) -> _Trial | None:
        """What the answers come to; None where they change neither findings, leanings nor a gate."""
        reasoner, before = self._subject.reasoner, self._subject.judged
        facts = {**self._subject.facts, **{answer.attribute: answer.fact for answer in answers}}
        evidence = reasoner.find(facts)
        gated = any(answer.attribute in self._gated for answer in answers)
        if not gated and _gist(evidence) == _gist(before.evidence):
            return None
        self.replays += 1
        belief = reasoner.believe(evidence)
        shift = {c: _log_odds(belief, c) - _log_odds(before.belief, c) for c in self._subject.foremost}
        movement = sum(map(abs, shift.values()))
        if set(leading_causes(reasoner, belief)) != set(before.determination.leading):
            return _Trial(True, movement)
        if not gated and not self._stirred(evidence, belief, shift):
            return _Trial(False, movement)
        after = judge(reasoner, facts).determination
        obstacles = len(set(before.determination.why_not) ^ set(after.why_not))
        return _Trial(after.determined != before.determination.determined, movement + obstacles)

    def _stirred(self, evidence: Evidence, belief: Belief, shift: Mapping[str, float]) -> bool:
        """Whether the verdict might be another although the same causes lead: worth testing in full.

        While determined, a lead that weakens or a new finding that hardly fits it; while not, a lead that gains.
        """
        determined = self._subject.judged.determination.determined
        if any((change < -STIR) if determined else (abs(change) > STIR) for change in shift.values()):
            return True
        known, best = set(self._subject.judged.evidence.observations), belief.posterior.sets(1)[0][0]
        return any(
            belief.posterior.probability_under(seen.finding, best) < HARDLY_FITS
            for seen in evidence.observations
            if seen not in known
        )

    def _confirmed(self, answers: Iterable[Answer]) -> list[Flip]:
        """The flip, weighed again from a changed copy of the case; nothing when it does not hold there."""
        chosen = tuple(answers)
        after = supposed(self._subject, {answer.attribute: answer.value for answer in chosen})
        was, becomes = self._subject.judged.determination, after.judged.determination
        if was.determined == becomes.determined and set(was.leading) == set(becomes.leading):
            return []
        told = dict.fromkeys((*self._subject.foremost, *after.foremost))
        marginals = after.judged.belief.posterior.marginals
        return [
            Flip(
                answers=chosen,
                minutes=sum(answer.minutes for answer in chosen),
                reopens=any(answer.was is not None for answer in chosen),
                after=standing(after),
                new_obstacles=tuple(reason for reason in becomes.why_not if reason not in was.why_not),
                probabilities=tuple((cause, marginals[cause]) for cause in told),
            )
        ]


def gate_attributes(subject: Subject) -> frozenset[str]:
    """The attributes that the checks of the open causes' gates rest on."""
    open_at_least = subject.reasoner.rulebook.parameter("open-at-least")
    return frozenset(
        name
        for cause, probability in subject.judged.belief.posterior.marginals.items()
        if probability >= open_at_least
        for _, _, condition in subject.reasoner.gates[cause]
        for name in attributes(condition)
    )


def _gist(evidence: Evidence) -> tuple[object, ...]:
    """What of the evidence the weighing sees."""
    weighed = sorted(
        (firing.rule, firing.sureness, firing.direct)
        for firing in evidence.firings
        if any(conclusion.kind in ("leaning", "exclude") for conclusion in firing.conclusions)
    )
    return evidence.observations, tuple(weighed)


def _log_odds(belief: Belief, cause: str) -> float:
    probability = min(max(belief.posterior.marginals[cause], 1e-9), 1 - 1e-9)
    return log(probability / (1 - probability))
