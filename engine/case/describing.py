"""What the case format allows at a place, in words, read off its JSON Schema."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from engine.case.models import Case
from engine.documents import FieldPath

Schema = Mapping[str, Any]
_UNITS = {"_mm": " mm", "_c": " °C", "_k": " K", "_g": " g", "_percent": " %", "days": " days"}
_ID = "words of small letters and digits joined by hyphens, such as north-wall"


@cache
def case_format() -> Schema:
    """The JSON Schema of the format itself, without any vocabulary."""
    return Case.model_json_schema()


def schema_at(path: FieldPath) -> Schema | None:
    """The schema of the part at a path; None where the format has no such part."""
    node: Schema | None = case_format()
    for part in path:
        if node is None:
            return None
        node = node.get("items") if isinstance(part, int) else node.get("properties", {}).get(part)
        node = _resolved(node) if node is not None else None
    return node


def allowed_at(path: FieldPath) -> str:
    """What may stand at a path, in words."""
    node = schema_at(path)
    if node is None:
        return "nothing"
    return described(node, next((part for part in reversed(path) if isinstance(part, str)), ""))


def words_at(path: FieldPath) -> tuple[str, ...]:
    """The words from which a choice is made at a path; empty where it is no choice."""
    return tuple((schema_at(path) or {}).get("enum", ()))


def fields_at(path: FieldPath) -> tuple[str, ...]:
    """The names of the fields of the mapping at a path."""
    return tuple((schema_at(path) or {}).get("properties", {}))


def described(node: Schema, name: str) -> str:
    """What a schema allows for the field of that name."""
    node = _resolved(node)
    if "anyOf" in node:
        return " or ".join(described(option, name) for option in node["anyOf"])
    if "const" in node:
        return str(node["const"])
    if "enum" in node:
        return "one of " + ", ".join(node["enum"])
    kind = {
        "string": _text,
        "number": _number,
        "integer": _number,
        "array": _list,
        "object": _mapping,
    }.get(node.get("type", ""))
    return kind(node, name) if kind else "true or false"


def _resolved(node: Schema) -> Schema:
    options = [option for option in node.get("anyOf", ()) if option.get("type") != "null"]
    if len(options) == 1:
        node = options[0]
    if "$ref" in node:
        node = case_format()["$defs"][node["$ref"].rsplit("/", 1)[-1]]
    return node


def _text(node: Schema, name: str) -> str:
    if node.get("format") == "date":
        return "a date written year-month-day, such as 2024-03-31, from 1900 to 2199"
    if name == "value":
        return "a word such as yes, no or solid-brick"
    if "pattern" in node:
        return "64 hexadecimal digits" if "{64}" in node["pattern"] else _ID
    longest = node.get("maxLength", 0)
    return f"text of at most {longest:,} characters" + (" on one line" if longest <= 300 else "")


def _number(node: Schema, name: str) -> str:
    unit = next((unit for ending, unit in _UNITS.items() if name.endswith(ending)), "")
    low, above = node.get("minimum"), node.get("exclusiveMinimum")
    start = f"a number above {above:,g}" if above is not None else "a number"
    if low is not None:
        start += f" from {low:,g}"
    end = f" up to {node['maximum']:,g}" if "maximum" in node else ""
    return start + end + unit


def _list(node: Schema, name: str) -> str:
    least, most = node.get("minItems", 0), node.get("maxItems")
    bounds = "with at least one entry" if least else ""
    if most is not None:
        bounds += (" and " if bounds else "with ") + f"at most {most:,} entries"
    return f"a list {bounds}".strip()


def _mapping(node: Schema, name: str) -> str:
    required = node.get("required", ())
    fields = required or node["properties"]
    return f"a mapping with {', '.join(fields)}" + (" and more" if len(fields) < len(node["properties"]) else "")
