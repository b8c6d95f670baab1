"""An opinion, or anything else that was reasoned, as plain data for ``--json``: the same gives the same bytes."""

from __future__ import annotations

import dataclasses
import json
import math
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

DIGITS = 6
"""Significant digits kept in plain data; more would claim what the weighing does not hold."""


def to_data(result: DataclassInstance) -> dict[str, Any]:
    """A result as dictionaries, lists, text, numbers and booleans; infinite weights become None."""
    return {name: _plain(getattr(result, name)) for name in _fields(result.__class__)}


def to_json(result: DataclassInstance) -> str:
    """A result as JSON text with a stated layout, ending in a newline."""
    return json.dumps(to_data(result), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return value
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}") if math.isfinite(value) else None
    if dataclasses.is_dataclass(value):
        return {name: _plain(getattr(value, name)) for name in _fields(value.__class__)}
    return value


@cache
def _fields(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in dataclasses.fields(kind))
