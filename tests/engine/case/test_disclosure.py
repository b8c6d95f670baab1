"""Every field of free text says what it may disclose."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal, get_args, get_origin

import pytest
from pydantic import StringConstraints

from engine.case.base import Model
from engine.case.disclosure import Disclosure, disclosures
from engine.case.models import Area, Case, Commission, Conclusion, Dwelling, Fact, Instrument, Logger, Photograph, Visit
from engine.case.quantities import Line


def models(model: type[Model], seen: set[type[Model]]) -> Iterator[type[Model]]:
    """A model and every model that its fields lead to."""
    if model in seen:
        return
    seen.add(model)
    yield model
    for field in model.model_fields.values():
        for part in parts(field.annotation):
            if isinstance(part, type) and issubclass(part, Model):
                yield from models(part, seen)


def parts(annotation: Any) -> Iterator[Any]:
    yield annotation
    if get_origin(annotation) is not Literal:
        for part in get_args(annotation):
            yield from parts(part)


def free_text(annotation: Any, metadata: Any = ()) -> bool:
    """Whether text of the writer's own may stand there: text that no pattern binds to the form of an id or digest."""
    if get_origin(annotation) is Annotated:
        return free_text(annotation.__origin__, annotation.__metadata__)
    if annotation is str:
        return not any(isinstance(mark, StringConstraints) and mark.pattern for mark in metadata)
    return get_origin(annotation) is not Literal and any(free_text(part) for part in get_args(annotation))


def fields(model: type[Model]) -> Iterator[tuple[str, bool]]:
    for name, field in model.model_fields.items():
        yield name, free_text(field.annotation, field.metadata)


EVERY = tuple(models(Case, set()))


def test_the_walk_reaches_every_part_of_a_case() -> None:
    assert {Area, Commission, Conclusion, Dwelling, Fact, Instrument, Logger, Photograph, Visit} <= set(EVERY)
    assert len(EVERY) > 25


@pytest.mark.parametrize("model", EVERY, ids=lambda model: model.__name__)
def test_every_field_of_free_text_is_classified(model: type[Model]) -> None:
    marked = {name for name, mark in disclosures(model).items() if mark.personal is not None}
    unmarked = {name for name, free in fields(model) if free} - marked
    assert not unmarked, f"say what {model.__name__}.{', '.join(sorted(unmarked))} may disclose: see quantities.py"


def test_a_new_field_of_plain_text_would_be_found() -> None:
    class Added(Model):
        nickname: Line
        handle: str | None = None
        pair: tuple[Line, ...] = ()
        word: Literal["a", "b"] = "a"

    assert [name for name, free in fields(Added) if free] == ["nickname", "handle", "pair"]
    assert not disclosures(Added)


def test_a_field_with_two_marks_is_a_mistake() -> None:
    class Doubly(Model):
        text: Annotated[Line, Disclosure("name"), Disclosure("address")]

    with pytest.raises(TypeError, match="more than one mark"):
        disclosures(Doubly)


def test_what_identifies_somebody_is_marked_as_that() -> None:
    marks = {
        (model.__name__, name): mark.personal
        for model in EVERY
        for name, mark in disclosures(model).items()
        if mark.personal not in (None, "reviewed")
    }
    assert marks == {
        ("Fact", "by"): "name",
        ("Visit", "by"): "name",
        ("Commission", "client"): "name",
        ("Commission", "inspector"): "name",
        ("Commission", "qualifications"): "identifier",
        ("Conclusion", "signed_by"): "name",
        ("Conclusion", "signed_on"): "name",
        ("Instrument", "serial"): "identifier",
        ("Dwelling", "address"): "address",
        ("Logger", "file"): "file",
        ("Photograph", "file"): "file",
    }
