"""Pydantic's findings about a document, said as faults that a person can mend: file, line, found, allowed, nearest."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from engine.documents import Document, FieldPath, readable
from engine.errors import Problem, nearest
from engine.reading import shorten, shown

_IDENTIFIER = "small letters and digits with single hyphens between, such as tide-line"
_BOOLEAN = "yes and no are words here, true and false are not: write yes or no"
_KINDS = {
    "string_type": "text",
    "float_type": "a number",
    "int_type": "a whole number",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "list_type": "a list",
    "dict_type": "a mapping of names to values",
    "model_type": "a mapping of fields",
    "date_type": "a day written as YYYY-MM-DD",
    "date_parsing": "a day written as YYYY-MM-DD",
    "date_from_datetime_parsing": "a day written as YYYY-MM-DD",
    "date_from_datetime_inexact": "a day written as YYYY-MM-DD",
    "finite_number": "a finite number",
}


def explain(
    error: ValidationError, model: type[BaseModel], document: Document, root: FieldPath = (), label: str = ""
) -> list[Problem]:
    """Every fault of the part of a document at ``root`` that was read as ``model``.

    ``label`` stands for ``root`` in the field of a message (a record's id, say). Complaints of pydantic about
    the several forms that one value might have had are put together into one fault.
    """
    data = _at(document.data, root)
    gathered: dict[FieldPath, list[ErrorDetails]] = {}
    for details in error.errors(include_url=False):
        gathered.setdefault(_written(details, data), []).append(details)
    misspelt = {path: _meant(path, model, data) for path in gathered if gathered[path][0]["type"] == "extra_forbidden"}
    meant = {(*path[:-1], name) for path, name in misspelt.items() if name}
    problems = []
    for path, several in gathered.items():
        if several[0]["type"] == "missing" and path in meant:
            continue
        if several[0]["type"] == "too_short" and any(other[: len(path)] == path != other for other in gathered):
            continue  # pydantic does not count the entries that are at fault themselves
        found, allowed, advice = _said(several, path, model, data)
        field = ".".join(part for part in (label, readable(path)) if part)
        line = document.line(root + path)
        close = misspelt.get(path) or _near(several[0])
        problems.append(Problem(document.name, line, field, found, allowed, advice, close))
    return problems


def _said(several: list[ErrorDetails], path: FieldPath, model: type[BaseModel], data: Any) -> tuple[str, str, str]:
    first = several[0]
    kind, value, context = first["type"], first["input"], first.get("ctx", {})
    if kind == "missing":
        return "nothing", f"the field {path[-1]!r}, which must be given", "add it"
    if kind == "extra_forbidden":
        names = sorted(_fields(_model_at(model, path[:-1])))
        return f"the unknown field {shown(path[-1])}", f"the fields {', '.join(names)}", ""
    found, advice = _shown_value(value), ""
    if len(several) > 1 and all(details["type"] in _KINDS for details in several):
        allowed = " or ".join(dict.fromkeys(_KINDS[details["type"]] for details in several))
    elif kind in _KINDS:
        allowed = _KINDS[kind]
    elif kind == "literal_error":
        allowed = str(context["expected"]).replace("'", "")
    elif kind == "string_pattern_mismatch":
        allowed = _IDENTIFIER if context["pattern"].startswith("^[a-z0-9]+") else f"text like {context['pattern']}"
    elif kind == "string_too_long":
        found, allowed = f"{len(str(value)):,} characters", f"at most {context['max_length']:,} characters"
    elif kind == "string_too_short":
        found, allowed = "empty text", "text"
    elif kind == "too_short":
        found = f"{context['actual_length']} entries"
        allowed = f"a list of at least {context['min_length']}"
    elif kind == "too_long":
        found, allowed = f"{context['actual_length']} entries", f"a list of at most {context['max_length']}"
    elif kind == "value_error":
        allowed, advice = "", str(context["error"])
    else:
        message = first["msg"]
        allowed = message.removeprefix("Input should be ") if message.startswith("Input should be ") else message
    if isinstance(value, bool) and kind in ("string_type", "float_type", "literal_error"):
        advice = _BOOLEAN
    return found, allowed, advice


def _shown_value(value: Any) -> str:
    if value is None:
        return "nothing (an empty field)"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return shorten("{" + ", ".join(f"{name}: {_shown_value(inner)}" for name, inner in value.items()) + "}", 80)
    if isinstance(value, (list, tuple)):
        return shorten("[" + ", ".join(_shown_value(inner) for inner in value) + "]", 80)
    return shown(value)


def _near(details: ErrorDetails) -> str | None:
    if details["type"] != "literal_error" or not isinstance(details["input"], str):
        return None
    names = details.get("ctx", {})["expected"].replace(" or ", ", ").replace("'", "").split(", ")
    return nearest(details["input"], names)


def _written(details: ErrorDetails, data: Any) -> FieldPath:
    """The part of pydantic's location that stands in the document; it adds names of its own for unions and keys."""
    path: FieldPath = ()
    for part in details["loc"]:
        listed = isinstance(data, (list, tuple)) and isinstance(part, int) and part < len(data)
        if not listed and not (isinstance(data, Mapping) and part in data):
            return (*path, part) if details["type"] == "missing" else path
        data, path = data[part], (*path, part)
    return path


def _meant(path: FieldPath, model: type[BaseModel], data: Any) -> str | None:
    """The field that a misspelt one was probably meant for: close in spelling, and not given beside it."""
    given = _at(data, path[:-1])
    return nearest(str(path[-1]), (name for name in _fields(_model_at(model, path[:-1])) if name not in given))


def _at(data: Any, path: FieldPath) -> Any:
    for part in path:
        data = data[part]
    return data


def _fields(model: type[BaseModel] | None) -> list[str]:
    return list(model.model_fields) if model else []


def _model_at(model: type[BaseModel], path: FieldPath) -> type[BaseModel] | None:
    """The model of the part at a path inside a model, or None where no model is declared."""
    here: Any = model
    for part in path:
        if isinstance(here, type) and issubclass(here, BaseModel):
            field = here.model_fields.get(str(part))
            annotation = field.annotation if field else None
            here = annotation if _is_container(annotation) else next(_models_in(annotation), None)
        else:
            here = next(_models_in(here), None)
    return next(_models_in(here), None)


def _is_container(annotation: Any) -> bool:
    return any(origin in (tuple, list, dict) for origin in _origins(annotation))


def _origins(annotation: Any) -> Iterator[Any]:
    origin = typing.get_origin(annotation)
    yield origin
    if origin in (typing.Union, types.UnionType, typing.Annotated):
        for argument in typing.get_args(annotation):
            yield from _origins(argument)


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in typing.get_args(annotation):
        yield from _models_in(argument)
