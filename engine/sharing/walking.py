"""A case walked field by field by what each field may disclose, and made anew with some of them changed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, TypeVar

from engine.case.base import Model
from engine.case.disclosure import Disclosure, disclosures
from engine.reading import FieldPath

_Part = TypeVar("_Part", bound=Model)


@dataclass(frozen=True, slots=True)
class Field:
    """A field that holds something: where it stands, its mark, its value, and whether the part may be without it."""

    path: FieldPath
    mark: Disclosure
    value: Any
    required: bool


def fields(part: Model, path: FieldPath = ()) -> Iterator[Field]:
    """Every marked field that holds something, also those inside marked parts, in the order of the format."""
    marks = disclosures(type(part))
    for name, described in type(part).model_fields.items():
        value = getattr(part, name)
        if name in marks and value is not None:
            yield Field((*path, name), marks[name], value, described.is_required())
        for step, inner in _inner(value):
            yield from fields(inner, (*path, name, *step))


def changed(part: _Part, change: Callable[[Field], Any], path: FieldPath = ()) -> _Part:
    """A part with every marked field as ``change`` gives it; a field that becomes None is left out."""
    marks, update = disclosures(type(part)), dict[str, Any]()
    for name, described in type(part).model_fields.items():
        value = getattr(part, name)
        if name in marks and value is not None:
            value = change(Field((*path, name), marks[name], value, described.is_required()))
        if isinstance(value, Model):
            value = changed(value, change, (*path, name))
        elif isinstance(value, tuple) and value and isinstance(value[0], Model):
            value = tuple(changed(item, change, (*path, name, place)) for place, item in enumerate(value))
        if value is not getattr(part, name):
            update[name] = value
    return part.model_copy(update=update)


def without(part: _Part, unwanted: Callable[[Model], bool], path: FieldPath = ()) -> tuple[_Part, list[FieldPath]]:
    """A part without the unwanted items of its lists, and where those stood."""
    update, gone = dict[str, Any](), list[FieldPath]()
    for name in type(part).model_fields:
        value = getattr(part, name)
        if isinstance(value, Model):
            update[name], inner = without(value, unwanted, (*path, name))
            gone += inner
        elif isinstance(value, tuple) and value and isinstance(value[0], Model):
            kept = []
            for place, item in enumerate(value):
                if unwanted(item):
                    gone.append((*path, name, place))
                else:
                    smaller, inner = without(item, unwanted, (*path, name, place))
                    kept.append(smaller)
                    gone += inner
            update[name] = tuple(kept)
    return part.model_copy(update=update), gone


def _inner(value: Any) -> Iterator[tuple[FieldPath, Model]]:
    if isinstance(value, Model):
        yield (), value
    elif isinstance(value, tuple):
        yield from (((place,), item) for place, item in enumerate(value) if isinstance(item, Model))
