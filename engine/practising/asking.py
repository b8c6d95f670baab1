"""What a trainee may ask for, and what the case answers: its records and nothing else, never its key."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from engine.case.models import Fact, NotInspected
from engine.explaining.wording import value_words
from engine.inference.conditions import Outcome, bind, evaluate
from engine.inference.facts import Fact as KnownFact
from engine.practising import measuring, reading_out
from engine.practising.costs import Cost, cost
from engine.practising.exercise import Exercise
from engine.practising.pieces import QUESTION, Piece, answer_pieces, facts_of
from engine.rulebook import Rulebook

SILENT = "The case does not say."


@dataclass(frozen=True, slots=True)
class Request:
    """One thing asked for: ``kind`` is question or one of `MEASUREMENTS`; places are in millimetres [mm].

    ``name`` is a question's id, an instrument's id or mode, or a timber's name. Without ``heights_mm`` a column is
    pressed, without ``x_mm`` a row.
    """

    kind: str
    name: str = ""
    surface: str = ""
    x_mm: float | None = None
    heights_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Reply:
    """What came of it: a title, the lines of the answer, the new pieces of evidence, and what they cost."""

    title: str
    lines: tuple[str, ...]
    pieces: tuple[Piece, ...]
    cost: Cost


def reply(exercise: Exercise, rulebook: Rulebook, request: Request, seen: Collection[Piece]) -> Reply:
    """What the case answers; what was seen before is told again and costs nothing.

    What the case does not say costs nothing either: nobody can have looked. NotMeasured where the request leaves
    place or instrument open.
    """
    if request.kind == "question":
        return _question(exercise, rulebook, request.name, frozenset(seen))
    answer = MEASUREMENTS[request.kind](exercise, rulebook, request)
    new = tuple(piece for piece in answer.pieces if piece not in seen)
    spent = cost(rulebook, answer.effort, len(new) if answer.each else 1) if new else Cost()
    return Reply(answer.title, answer.lines or (SILENT,), new, spent)


MEASUREMENTS: dict[str, Callable[[Exercise, Rulebook, Request], measuring.Measured]] = {
    "press": lambda e, r, q: measuring.press(e, r, q.name, q.surface, q.x_mm, q.heights_mm),
    "dry": lambda e, r, q: measuring.dry(e, q.name, q.surface),
    "check": lambda e, r, q: measuring.check(e, q.name),
    "plan": lambda e, r, q: measuring.plan(e, q.surface),
    "air": lambda e, r, q: reading_out.air(e),
    "surface": lambda e, r, q: reading_out.surface_temperatures(e),
    "samples": lambda e, r, q: reading_out.samples(e),
    "timber": lambda e, r, q: reading_out.timber(e, q.name),
    "loggers": lambda e, r, q: reading_out.loggers(e, r),
}
"""What can be measured, by the word that asks for it."""


def _question(exercise: Exercise, rulebook: Rulebook, name: str, seen: frozenset[Piece]) -> Reply:
    question = rulebook.questions[name]
    piece = (QUESTION, name)
    said = [item for item in facts_of(exercise.case, exercise.area) if item[1].attribute == name]
    lines = [_fact_words(exercise, rulebook, place, fact, visit) for place, fact, visit in said]
    lines += [f"not inspected: {item.what}, {item.why}" for item in _not_inspected(exercise, name)]
    known = piece in answer_pieces(exercise.case, exercise.area)
    if not lines and _cannot_arise(exercise, rulebook, name):
        lines = ["It does not arise here."]
    spent = cost(rulebook, question.effort) if known and piece not in seen else Cost()
    new = (piece,) if (known or said) and piece not in seen else ()
    return Reply(question.title, tuple(dict.fromkeys(lines)) or (SILENT,), new, spent)


def _fact_words(exercise: Exercise, rulebook: Rulebook, place: str, fact: Fact, visit: str | None) -> str:
    value = "the case does not say" if fact.value == "unknown" else value_words(rulebook, fact.attribute, fact.value)
    how = "" if fact.basis == "seen" else f"{fact.basis}{f' by {fact.by}' if fact.by and fact.basis == 'told' else ''}"
    sure = "" if fact.sureness == "certain" else fact.sureness.replace("-", " ")
    day = exercise.day(visit) if len(exercise.case.visits) > 1 else ""
    said = ", ".join(part for part in (value, how, sure, day) if part)
    return f"{f'{place}: ' if place else ''}{said}{f'; {fact.note}' if fact.note else ''}"


def _not_inspected(exercise: Exercise, name: str) -> list[NotInspected]:
    items = (*exercise.case.dwelling.not_inspected, *exercise.area.not_inspected)
    return [item for item in items if name in item.attributes]


def _cannot_arise(exercise: Exercise, rulebook: Rulebook, name: str) -> bool:
    """Whether the question applies on none of what the case records."""
    applies = rulebook.questions[name].applies
    if applies is None:
        return False
    facts = {
        fact.attribute: KnownFact(fact.attribute, fact.value) for _, fact, _ in facts_of(exercise.case, exercise.area)
    }
    settled = {name: fact for name, fact in facts.items() if fact.value not in ("unknown", "not-inspected")}
    return evaluate(bind(applies, rulebook.numbers), settled).outcome is Outcome.FAILS
