"""Caseloads made up for tests of sweeping: many small cases, broken ones among them, and workers that misbehave."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Collection, Iterator
from typing import Any

from engine.sweeping.items import Item
from engine.sweeping.pool import Settings

BROKEN = '{"format": 1, "id": "broken", "title": "A case without a dwelling"}'


def small_case(number: int, **more: Any) -> dict[str, Any]:
    """A sound case with two signs; every other one shares its address with the one before."""
    return {
        "format": 1,
        "id": f"case-{number}",
        "title": f"Case {number}",
        "commission": {"reported_on": f"2026-11-{1 + number % 24:02d}"},
        "dwelling": {"title": "House", "address": f"{number // 2}, High Street"},
        "visits": [{"id": "first", "on": "2026-11-10"}],
        "areas": [
            {
                "id": "hall",
                "title": "Hall",
                "facts": [
                    {"attribute": "wall-position", "value": "external", "basis": "seen"},
                    {"attribute": "black-mould-seen", "value": "yes" if number % 3 else "no", "basis": "seen"},
                ],
            }
        ],
        **more,
    }


def small_lines(count: int, broken: Collection[int] = ()) -> Iterator[str]:
    """Lines of a stream of small cases; those of the numbers given are broken."""
    for number in range(count):
        yield BROKEN if number in broken else json.dumps(small_case(number))


def slow_at_first(item: Item, settings: Settings) -> str:
    """A worker that is the slower the earlier the item stands."""
    time.sleep(max(0.0, 0.2 - 0.02 * (item.number or 0)))
    return f'{{"of":{item.number}}}'


def dies_on_seven(item: Item, settings: Settings) -> str:
    """A worker whose process ends without a word on the item of the number seven."""
    if item.number == 7:
        os._exit(9)
    return f'{{"of":{item.number}}}'
