"""Two rule bases beside each other: which records were added, removed or changed, field by field."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from engine.rulebook.book import Rulebook
from engine.rulebook.kinds import ONE_OF
from engine.rulebook.models import Record


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field with what it held before and after, as plain data; None where it was not set."""

    field: str
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class RecordChange:
    """One record that differs. ``what`` is added, removed or changed; ``at`` is where it is written (last)."""

    id: str
    kind: str
    title: str
    what: str
    at: str
    fields: tuple[FieldChange, ...] = ()


def compare_bases(old: Rulebook, new: Rulebook) -> tuple[RecordChange, ...]:
    """Every record that differs between two bases, in id order; how a file is laid out does not count.

    Reference classes whose order alone differs are said under the first that moved, as they are tried in order.
    """
    changes = []
    for name in sorted({*old.digests, *new.digests}):
        if old.digests.get(name) == new.digests.get(name):
            continue
        before, after = old.records.get(name), new.records.get(name)
        if before is None and after is not None:
            changes.append(_change(new, after, "added"))
        elif after is None and before is not None:
            changes.append(_change(old, before, "removed"))
        elif before is not None and after is not None:
            changes.append(_change(new, after, "changed", _fields(old, before, new, after)))
    return (*changes, *_reordered(old, new))


def _change(book: Rulebook, record: Record, what: str, fields: tuple[FieldChange, ...] = ()) -> RecordChange:
    kind = ONE_OF[book.kind_of(record.id) or ""]
    return RecordChange(record.id, kind, record.title, what, book.origin.get(record.id, ""), fields)


def _fields(old: Rulebook, before: Record, new: Rulebook, after: Record) -> tuple[FieldChange, ...]:
    kinds = (ONE_OF[book.kind_of(record.id) or ""] for book, record in ((old, before), (new, after)))
    one, other = ({"(kind)": kind} for kind in kinds)
    one |= before.model_dump(mode="json", exclude_defaults=True)
    other |= after.model_dump(mode="json", exclude_defaults=True)
    return tuple(_differing("", one, other))


def _differing(path: str, before: Any, after: Any) -> Iterator[FieldChange]:
    """The smallest parts that differ; lists of unlike length as wholes."""
    if before == after:
        return
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for name in dict.fromkeys((*before, *after)):
            yield from _differing(f"{path}.{name}" if path else str(name), before.get(name), after.get(name))
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for number, pair in enumerate(zip(before, after, strict=True)):
            yield from _differing(f"{path}[{number}]", *pair)
    else:
        yield FieldChange(path, before, after)


def _reordered(old: Rulebook, new: Rulebook) -> tuple[RecordChange, ...]:
    before = [name for name in old.reference_classes if name in new.reference_classes]
    after = [name for name in new.reference_classes if name in old.reference_classes]
    if before == after:
        return ()
    first = next(name for name, other in zip(after, before, strict=True) if name != other)
    moved = FieldChange("(order)", list(old.reference_classes), list(new.reference_classes))
    return (_change(new, new.reference_classes[first], "changed", (moved,)),)
