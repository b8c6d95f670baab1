"""Whether a document has the form of a case: every field known, of its kind, within its bounds."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from engine.case.describing import allowed_at, fields_at, schema_at, words_at
from engine.case.models import Case
from engine.case.parts import Faults
from engine.documents import Document, FieldPath
from engine.reading import shown

_NUMBER_IN_TEXT = re.compile(r"\s*[-+]?[0-9]+(?:[.,][0-9]+)?\s*(\D{0,12})")
_TOLD_BY_US = ("the control character", "a line end")


def formed(document: Document, faults: Faults) -> Case | None:
    """The case that a document holds; None, with every fault of form recorded, if it has not the form of one."""
    _empty_fields(document.data, (), faults)
    try:
        case = Case.model_validate_json(json.dumps(document.data))
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            _fault(document.data, detail, faults)
        return None
    return None if faults.problems else case


def _empty_fields(data: Any, path: FieldPath, faults: Faults) -> None:
    if data is None and path and schema_at(path) is None:
        found, fields = f"the unknown field {shown(path[-1])} without a value", fields_at(path[:-1])
        advice = "text that holds a comma inside braces must be in quotes"
        faults.add(path, found, f"the fields {', '.join(fields)}" if fields else "nothing here", advice, form=True)
    elif data is None:
        advice = "leave the field out, or check the indentation of what should belong to it"
        faults.add(path, "nothing", allowed_at(path), advice, form=True)
    elif isinstance(data, Mapping):
        for name, value in data.items():
            if not isinstance(value, (str, int, float)):
                _empty_fields(value, (*path, name), faults)
    elif isinstance(data, list):
        for position, value in enumerate(data):
            if not isinstance(value, (str, int, float)):
                _empty_fields(value, (*path, position), faults)


def _fault(data: Any, detail: Mapping[str, Any], faults: Faults) -> None:
    path, value = _place(data, detail["loc"])
    kind: str = detail["type"]
    if kind == "too_short" and value:
        return
    if kind == "extra_forbidden":
        fields = fields_at(path[:-1])
        faults.add(
            path,
            f"the unknown field {shown(path[-1])}",
            f"the fields {', '.join(fields)}",
            near=str(path[-1]),
            names=fields,
            form=True,
        )
    elif kind == "missing":
        faults.add(path, "no such field", allowed_at(path), f"add {path[-1]}", form=True)
    else:
        near, names = _guess(path, value)
        found = _found(kind, detail, value)
        faults.add(path, found, allowed_at(path), _advice(path, value), near=near, names=names, form=True)


def _place(data: Any, location: tuple[str | int, ...]) -> tuple[FieldPath, Any]:
    """The path that a fault's location means and the value there; what follows a plain value is no path."""
    for end, part in enumerate(location):
        if isinstance(data, Mapping):
            if part not in data:
                return location[: end + 1], None
        elif not (isinstance(data, list) and isinstance(part, int) and part < len(data)):
            return location[:end], data
        data = data[part]
    return location, data


def _found(kind: str, detail: Mapping[str, Any], value: Any) -> str:
    message = str(detail.get("ctx", {}).get("error", ""))
    if message.startswith(_TOLD_BY_US):
        return message
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return "a mapping"
    if isinstance(value, list):
        return f"a list of {len(value)}" if kind in ("too_short", "too_long") else "a list"
    if kind == "string_too_long":
        return f"text of {len(value):,} characters"
    if kind == "string_too_short":
        return "empty text"
    return shown(value)


def _guess(path: FieldPath, value: Any) -> tuple[str, tuple[str, ...]]:
    if not isinstance(value, str):
        return "", ()
    words = words_at(path)
    if words:
        return value.lower().replace(" ", "-").replace("_", "-"), words
    likely = "-".join(re.findall(r"[a-z0-9]+", value.lower()))
    return (likely, (likely,)) if "-wall" in allowed_at(path) and 0 < len(likely) <= 64 else ("", ())


def _advice(path: FieldPath, value: Any) -> str:
    name = str(path[-1]) if path else ""
    node = schema_at(path) or {}
    if isinstance(value, bool) and name == "value" and "facts" in path:
        return "write yes or no: true and false are not used for facts"
    if isinstance(value, str) and node.get("type") == "number":
        match = _NUMBER_IN_TEXT.fullmatch(value)
        if match and match[1].strip():
            return "write the number alone"
        if match:
            return "write it without quotes and with a decimal point"
    if isinstance(value, str) and node.get("type") == "boolean":
        return "write true or false"
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        if name.endswith("_c") and value > 60:
            return "is it in degrees Fahrenheit?"
        if node.get("type") == "string" and node.get("format") != "date":
            return "put it in quotes"
    return ""
