"""The opinion as it moved with each thing asked for, and what each told.

What evidence told is the divergence of the belief with it from that without it [bits]: the sum over sets of causes of
P(with) · log2(P(with) / P(without)) (S. Kullback and R. A. Leibler, "On information and sufficiency", 1951; from
memory). It is never negative, and 0 where nothing moves. Sets that were next to impossible before are left aside.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from engine.case.models import Area, Case
from engine.inquiry.knowing import Knowledge, State
from engine.opinion.reasoner import Reasoner
from engine.practising.exercise import Exercise, given
from engine.practising.pieces import Piece, seen_case
from engine.practising.record import Entry

LEAST = 1e-12
"""A probability under which a set of causes adds nothing to what was told."""


class Replay:
    """Weighs an exercise as it looks with any of its evidence; measuring is repeated only where readings change."""

    def __init__(self, reasoner: Reasoner, exercise: Exercise) -> None:
        self.reasoner, self.exercise = reasoner, exercise
        self._knowledge = Knowledge(reasoner, exercise.folder)
        self._states: dict[frozenset[Piece], State] = {}

    def case(self, seen: Collection[Piece]) -> tuple[Case, Area]:
        """The case and its area as far as the evidence goes."""
        case = seen_case(self.exercise.case, self.exercise.area, seen)
        return case, next(one for one in case.areas if one.id == self.exercise.area.id)

    def state(self, seen: Collection[Piece]) -> State:
        """Where the area stands with this evidence."""
        key = frozenset(seen)
        if key not in self._states:
            self._states[key] = self._knowledge.state(*self.case(key))
        return self._states[key]

    def told(self, before: State, after: State) -> float:
        """What the evidence of the one state tells beyond that of the other [bits, ≥ 0]."""
        if before is after:
            return 0.0
        supposed = before.suppositions
        weights = supposed.weigh(self.reasoner.priors(after.evidence), after.evidence.observations)
        counted = weights > LEAST
        ratio = weights[counted] / np.maximum(supposed.weights[counted], LEAST)
        return max(float(np.sum(weights[counted] * np.log2(ratio))), 0.0)


@dataclass(frozen=True, slots=True)
class Moment:
    """The opinion after one thing was asked for, or a view formed: the leading beliefs, and what was told [bits].

    ``kind`` is brief, asked, view or whole, the last being the opinion on all that the case holds.
    """

    number: int
    kind: str
    said: str
    title: str
    answer: str
    minutes: float
    bits: float
    beliefs: tuple[tuple[str, float], ...]
    view: tuple[tuple[str, float], ...] = ()


def moments(replay: Replay, entries: Sequence[Entry], whole: State, most: int = 3) -> tuple[Moment, ...]:
    """The opinion after the brief, after each entry and on the whole, with the ``most`` most believed causes."""
    seen = given(replay.exercise, replay.reasoner.rulebook)
    state = replay.state(seen)
    minutes = 0.0
    found = [Moment(0, "brief", "", "the brief", "", 0.0, 0.0, _leading(state, most))]
    for entry in entries:
        minutes += entry.cost.minutes
        if entry.kind == "asked":
            seen = seen | {tuple(piece) for piece in entry.data["pieces"]}
            before, state = state, replay.state(seen)
            told = replay.told(before, state) if entry.data["pieces"] else 0.0
            answer = "; ".join(entry.data["lines"]) if entry.data["request"]["kind"] == "question" else ""
            title = str(entry.data["title"])
            found.append(Moment(entry.number, "asked", entry.said, title, answer, minutes, told, _leading(state, most)))
        elif entry.kind == "view":
            view = tuple(entry.data["causes"].items())
            found.append(
                Moment(entry.number, "view", entry.said, "your view", "", minutes, 0.0, _leading(state, most), view)
            )
    found.append(Moment(len(entries), "whole", "", "", "", minutes, 0.0, _leading(whole, most)))
    return tuple(found)


def _leading(state: State, most: int) -> tuple[tuple[str, float], ...]:
    ranked = sorted(state.beliefs.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(ranked[:most])
