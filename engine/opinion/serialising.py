"""The opinion as plain data for ``--json``: the same opinion gives the same bytes."""

from __future__ import annotations

import dataclasses
import json
import math
from typing import Any

from engine.opinion.models import Opinion

DIGITS = 6
"""Significant digits kept in plain data; more would claim what the weighing does not hold."""


def to_data(opinion: Opinion) -> dict[str, Any]:
    """The opinion as dictionaries, lists, text, numbers and booleans; infinite weights become None."""
    return {name: _plain(value) for name, value in dataclasses.asdict(opinion).items()}


def to_json(opinion: Opinion) -> str:
    """The opinion as JSON text with a stated layout, ending in a newline."""
    return json.dumps(to_data(opinion), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}") if math.isfinite(value) else None
    return value
