"""What a review looks at: the exercise with its key, what was concluded, the opinion on what was found and on all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from engine.case.keys import AreaKey
from engine.challenging.auditing import NOTHING
from engine.inquiry.knowing import State
from engine.opinion.models import AreaOpinion
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import gather, weigh_area
from engine.practising.exercise import Exercise, given
from engine.practising.pieces import Piece, answer_pieces, measured_pieces
from engine.practising.record import Entry
from engine.practising.replay import Replay
from engine.rulebook import Rulebook


@dataclass(frozen=True)
class Subject:
    """One concluded exercise. Its key is there."""

    reasoner: Reasoner
    exercise: Exercise
    key: AreaKey
    entries: tuple[Entry, ...]
    replay: Replay

    @property
    def rulebook(self) -> Rulebook:
        """The rule base."""
        return self.reasoner.rulebook

    def _said(self, part: str) -> Any:
        return next(entry.data["value"] for entry in reversed(self.entries) if entry.kind == part)

    @cached_property
    def named(self) -> Mapping[str, float]:
        """The causes concluded, with the probability stated of each; `no-active-damp` among them where it was said."""
        said = self._said("causes")
        return {str(cause): float(probability) for cause, probability in said.items()}

    def listed(self, part: str) -> tuple[str, ...]:
        """What was concluded of timber, steps or cautions: ids."""
        said = self._said(part)
        return tuple(str(name) for name in said)

    @cached_property
    def asked(self) -> tuple[Entry, ...]:
        """Everything that was asked for."""
        return tuple(entry for entry in self.entries if entry.kind == "asked")

    @cached_property
    def seen(self) -> frozenset[Piece]:
        """All that was found."""
        found = {tuple(piece) for entry in self.asked for piece in entry.data["pieces"]}
        return given(self.exercise, self.rulebook) | found

    @cached_property
    def everything(self) -> frozenset[Piece]:
        """All that the case holds."""
        case, area = self.exercise.case, self.exercise.area
        return answer_pieces(case, area) | measured_pieces(case, area)

    @cached_property
    def found(self) -> State:
        """Where the area stands on what was found."""
        return self.replay.state(self.seen)

    @cached_property
    def whole(self) -> State:
        """Where it stands on the whole evidence."""
        return self.replay.state(self.everything)

    def opinion(self, pieces: frozenset[Piece]) -> AreaOpinion:
        """The opinion on some of the evidence."""
        case, area = self.replay.case(pieces)
        return weigh_area(self.reasoner, area, gather(self.reasoner, case, area, self.exercise.folder))

    @cached_property
    def opinion_found(self) -> AreaOpinion:
        """The opinion on what was found."""
        return self.opinion(self.seen)

    @cached_property
    def opinion_whole(self) -> AreaOpinion:
        """The opinion on the whole evidence."""
        return self.opinion(self.everything)

    @cached_property
    def nothing_wets(self) -> bool:
        """Whether no cause of the truth wets the place now."""
        return not any(self.rulebook.causes[cause].kind == "wetting" for cause in self.key.truth)

    def so(self, cause: str) -> bool:
        """Whether a cause, or `no-active-damp`, is true of the case."""
        return self.nothing_wets if cause == NOTHING else cause in self.key.truth

    def title(self, cause: str) -> str:
        """A cause, or `no-active-damp`, as it reads."""
        return "nothing wets it now" if cause == NOTHING else self.rulebook.causes[cause].title


def subject(reasoner: Reasoner, exercise: Exercise, entries: tuple[Entry, ...]) -> Subject:
    """What a review of a concluded exercise looks at; ValueError where its key is not there."""
    if exercise.key is None:
        raise ValueError("the key of the exercise is kept apart and was not given")
    return Subject(reasoner, exercise, exercise.key, entries, Replay(reasoner, exercise))
