"""A case written as YAML that people can read and edit, and that reads back to the same case."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import yaml

from engine.case.models import Case
from engine.yaml_reading import CORE_SCHEMA

_WIDTH = 110
_MAPPING, _LIST, _TEXT = "tag:yaml.org,2002:map", "tag:yaml.org,2002:seq", "tag:yaml.org,2002:str"


class _CoreDumper(yaml.SafeDumper):
    """Quotes what the core schema of YAML 1.2 would not read as text, and nothing else: ``no`` stays no."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012 - a class's own table, in place of the parent's

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        """List items stand in from the name of their list."""
        super().increase_indent(flow, False)


for _tag, _pattern, _starts in CORE_SCHEMA:
    _CoreDumper.add_implicit_resolver(_tag, _pattern, list(_starts))


def write_case(case: Case) -> str:
    """A case as YAML, fields left at their defaults left out; `parse_case` reads the same case from it."""
    data = case.model_dump(mode="json", exclude_defaults=True)
    return yaml.serialize(_node(data), Dumper=_CoreDumper, width=_WIDTH, allow_unicode=True)


def case_text(case: Case, name: Path) -> str:
    """A case as the text of a file of that name: JSON where it ends in .json, otherwise YAML."""
    return json_text(case.model_dump(mode="json", exclude_defaults=True)) if is_json(name) else write_case(case)


def is_json(name: Path) -> bool:
    """Whether a file of that name holds JSON."""
    return name.suffix.lower() == ".json"


def json_text(data: Any) -> str:
    """Data as the text of a JSON file that people can read."""
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def one_line(data: Mapping[str, Any]) -> str:
    """A part of a case in braces on one line, such as one reading of a list."""
    node = yaml.MappingNode(_MAPPING, [(_scalar(name), _node(item)) for name, item in data.items()], flow_style=True)
    return str(yaml.serialize(node, Dumper=_CoreDumper, width=1_000_000, allow_unicode=True)).strip()


def _node(value: Any) -> yaml.Node:
    if isinstance(value, dict):
        pairs = [(_scalar(name), _node(item)) for name, item in value.items()]
        return yaml.MappingNode(_MAPPING, pairs, flow_style=_fits_a_line(value))
    if isinstance(value, list):
        return yaml.SequenceNode(_LIST, [_node(item) for item in value], flow_style=_fits_a_line(value))
    return _scalar(value)


def _fits_a_line(value: dict[str, Any] | list[Any]) -> bool:
    items = list(value.values()) if isinstance(value, dict) else value
    if any(isinstance(item, dict) or (isinstance(item, str) and "\n" in item) for item in items):
        return False
    return len(str(value)) <= _WIDTH and all(not isinstance(item, list) or _fits_a_line(item) for item in items)


def _scalar(value: str | float | bool) -> yaml.ScalarNode:
    if isinstance(value, str):
        return yaml.ScalarNode(_TEXT, value, style="|" if "\n" in value else None)
    if isinstance(value, bool):
        return yaml.ScalarNode("tag:yaml.org,2002:bool", str(value).lower())
    if isinstance(value, int):
        return yaml.ScalarNode("tag:yaml.org,2002:int", str(value))
    if value.is_integer() and abs(value) < 1e15:
        return yaml.ScalarNode("tag:yaml.org,2002:int", str(int(value)))
    return yaml.ScalarNode("tag:yaml.org,2002:float", repr(value))
