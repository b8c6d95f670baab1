"""A case to practise on: one area, its key apart, and the brief that a trainee is given."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from engine.case.keys import AreaKey
from engine.case.models import Area, Case
from engine.days import day_words
from engine.practising.pieces import QUESTION, Piece, answer_pieces
from engine.rulebook import Rulebook

if TYPE_CHECKING:
    from engine.sharing.sealing import SealKey

BRIEF = "practice-brief"
"""The word list of the questions whose answers stand in the brief."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a case comes from: ``casebook`` (its file's name), ``file`` (its path) or ``new`` (its seed)."""

    kind: str
    name: str
    level: int | None = None
    topic: str | None = None


@dataclass(frozen=True, slots=True)
class Exercise:
    """One area to conclude on. ``case`` has no key; ``key`` is None where it is kept apart and was not given."""

    source: Source
    case: Case
    area: Area
    key: AreaKey | None
    lesson: str
    folder: Path | None

    @property
    def invented(self) -> bool:
        """Whether the case is made up."""
        return self.case.invented or self.source.kind == "new"

    def day(self, visit: str | None) -> str:
        """The day of a visit as it reads, the last where none is named."""
        found = next((one for one in self.case.visits if one.id == visit), None)
        return day_words((found or max(self.case.visits, key=lambda one: one.on)).on, weekday=False)


def exercise(source: Source, case: Case, area: str | None, folder: Path | None) -> Exercise:
    """An area of a case (the first where none is named) to practise on; KeyError where there is no such area."""
    found = next((one for one in case.areas if area in (None, one.id)), None)
    if found is None:
        raise KeyError(area)
    lesson = case.key.lesson if case.key and case.key.lesson else ""
    key = next((key for key in case.key.areas if key.area == found.id), None) if case.key else None
    return Exercise(source, case.model_copy(update={"key": None}), found, key, lesson, folder)


def unsealed(exercise: Exercise, key: SealKey) -> Exercise:
    """The exercise of a sealed case with the key that was kept apart; InvalidInput for the key of another case.

    What was asked for stays as it was: only the answers come from the key.
    """
    from engine.sharing.sealing import unseal

    whole = unseal(exercise.case, key)
    place = [area.id for area in exercise.case.areas].index(exercise.area.id)
    answers = whole.key
    found = next((one for one in answers.areas if one.area == whole.areas[place].id), None) if answers else None
    return replace(exercise, key=found, lesson=answers.lesson or "" if answers else "")


def given(exercise: Exercise, rulebook: Rulebook) -> frozenset[Piece]:
    """The answers that the brief gives."""
    listed = rulebook.words[BRIEF].words if BRIEF in rulebook.words else ()
    return answer_pieces(exercise.case, exercise.area) & {(QUESTION, name) for name in listed}


def topics(key: AreaKey, rulebook: Rulebook) -> tuple[str, ...]:
    """The topics that a case is about: those of its causes and of the one that it is easily taken for.

    So knowing the topic of a case does not say whether its topic is the answer or the trap.
    """
    causes = [*key.truth, *([key.junior] if key.junior else [])]
    return tuple(dict.fromkeys(rulebook.causes[cause].topic for cause in causes if cause in rulebook.causes))


def level(key: AreaKey) -> int:
    """How hard a worked case is, 1 to 4.

    1 one cause that can be settled, 2 several causes, 3 nothing at work or only a mechanism to be settled, 4 what its
    evidence leaves open.
    """
    if not key.determined:
        return 4 if key.truth else 3
    if not key.truth or key.level == "mechanism":
        return 3
    return 1 if len(key.truth) == 1 else 2
