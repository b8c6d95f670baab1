"""What a field of a case may disclose: marked once, on the field's own type, and read off the models by what exports.

A mark says whether a field holds something personal and whether it may hold a verdict, by which a trainee who is given
the case would learn its answer. Every field of free text has one mark; a test walks the models and finds those without.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, get_args, get_origin

from engine.case.base import Model

Personal = Literal["name", "address", "identifier", "file", "reviewed"]
"""A person's name or what stands and falls with it; an address; a number that leads to a person or a thing owned; the
name of a file beside the case; or text in which a person may have written anything, to be read before it is sent."""


@dataclass(frozen=True, slots=True)
class Disclosure:
    """The mark of a field; ``verdict`` where a writer says, or in free text may say, what is held to be the cause."""

    personal: Personal | None = None
    verdict: bool = False


@cache
def disclosures(model: type[Model]) -> dict[str, Disclosure]:
    """The marks of a model's own fields, by the fields' names; fields without one are left out."""
    found = {}
    for name, field in model.model_fields.items():
        marks = [*_marks(field.annotation), *(mark for mark in field.metadata if isinstance(mark, Disclosure))]
        if len(marks) > 1:
            raise TypeError(f"{model.__name__}.{name} has more than one mark of disclosure")
        if marks:
            found[name] = marks[0]
    return found


def _marks(annotation: Any) -> Iterator[Disclosure]:
    if get_origin(annotation) is Annotated:
        yield from (mark for mark in annotation.__metadata__ if isinstance(mark, Disclosure))
    for part in get_args(annotation):
        yield from _marks(part)
