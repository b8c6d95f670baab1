"""Names that lead nowhere: every reference of a record must be the id of a record of the right kind."""

from __future__ import annotations

from collections.abc import Iterator

from engine.errors import Problem, nearest
from engine.rulebook.checks.inspection import Inspection
from engine.rulebook.models import ONE_OF, Echo, Record, Step
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
    for step in rulebook.steps.values():
        if step.id in _before(inspection, step):
            found = f"an order in which {step.id} must come before itself"
            yield inspection.problem(
                step.id, ("after",), found, "steps in one order", "take one of them out of 'after'"
            )


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


def _before(inspection: Inspection, step: Step) -> set[str]:
    steps = inspection.rulebook.steps
    before: set[str] = set()
    waiting = [name for name in step.after if name != step.id]
    while waiting:
        name = waiting.pop()
        if name not in before and name in steps:
            before.add(name)
            waiting += steps[name].after
    return before
