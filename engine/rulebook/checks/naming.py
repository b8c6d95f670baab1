"""Names that lead nowhere: every reference of a record must be the id of a record of the right kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.errors import Problem, nearest
from engine.inference.conditions import attributes
from engine.rulebook.checks.inspection import Inspection
from engine.rulebook.kinds import ONE_OF
from engine.rulebook.models import Echo, Record
from engine.rulebook.references import Reference, references

_WITH_ARTICLE = {name: f"{'an' if one[0] in 'aeiou' else 'a'} {one}" for name, one in ONE_OF.items()}


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Every reference to a record that is not there or is of another kind; lists that name one thing twice."""
    rulebook = inspection.rulebook
    for reference in references(rulebook):
        if inspection.broken(reference.name):
            continue
        kind = rulebook.kind_of(reference.name)
        if kind is None or (reference.kinds and kind not in reference.kinds):
            yield _dangling(inspection, reference, kind)
    for record in rulebook.records.values():
        yield from _twice(inspection, record)
    yield from _circles(inspection)


def _dangling(inspection: Inspection, reference: Reference, kind: str | None) -> Problem:
    rulebook = inspection.rulebook
    kinds = reference.kinds or tuple(rulebook.kinds)
    names = [name for wanted in kinds for name in rulebook.kinds[wanted]]
    wanted = _one_of(kinds) if reference.kinds else "any record"
    found = repr(reference.name)
    if kind is not None:
        found += f", which is {_WITH_ARTICLE[kind]} ({inspection.at(reference.name)})"
    close = nearest(reference.name, (name for name in names if name != reference.name))
    advice = "" if close else f"write the id of one that exists, or add {_WITH_ARTICLE[kinds[0]]} with this id"
    return inspection.problem(reference.by, reference.path, found, f"the id of {wanted}", advice, close)


def _one_of(kinds: tuple[str, ...]) -> str:
    *most, last = [_WITH_ARTICLE[kinds[0]], *(ONE_OF[name] for name in kinds[1:])]
    return f"{', '.join(most)} or {last}" if most else last


_LISTS = ("related", "members", "parts", "settles", "treats", "after", "dry_evidence", "words")


def _twice(inspection: Inspection, record: Record) -> Iterator[Problem]:
    for field in _LISTS:
        names = getattr(record, field, None)
        if not isinstance(names, tuple):
            continue
        for number, name in enumerate(names):
            if name in names[:number]:
                found = f"{name!r} a second time"
                yield inspection.problem(record.id, (field, number), found, "each name once", "delete one of them")
            if name == record.id and not isinstance(record, Echo):
                yield inspection.problem(record.id, (field, number), "the record's own id", "other ids", "delete it")


def _circles(inspection: Inspection) -> Iterator[Problem]:
    """Steps that must come before themselves, and questions that are asked only once they are answered."""
    steps = {step.id: frozenset(step.after) for step in inspection.rulebook.steps.values()}
    for name in steps:
        if name in _reached(steps, name):
            found = f"an order in which {name} must come before itself"
            yield inspection.problem(name, ("after",), found, "steps in one order", "take one of them out of 'after'")
    questions = {
        question.id: attributes(question.applies) if question.applies is not None else frozenset()
        for question in inspection.rulebook.questions.values()
    }
    for name in questions:
        if name in _reached(questions, name):
            found = "a question that applies only once it is answered, through those that it waits for"
            advice = "let it apply on another answer"
            yield inspection.problem(name, ("applies",), found, "questions that can be asked in some order", advice)


def _reached(follows: Mapping[str, frozenset[str]], start: str) -> set[str]:
    """Everything that is reached from a name by one step or more; names that lead nowhere are passed over."""
    reached: set[str] = set()
    waiting = list(follows[start])
    while waiting:
        name = waiting.pop()
        if name not in reached and name in follows:
            reached.add(name)
            waiting += follows[name]
    return reached
