"""Lines of a sweep, damaged: always one line of JSON back, weighed or a fault, and never a stumble."""

from __future__ import annotations

import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.sweeping import sweep_line
from engine.sweeping.items import STDIN, items
from engine.sweeping.tables import COLUMNS, rows
from tests.caseloads import small_case
from tests.fuzzing import (
    TEXTS,
    byte_damage,
    damaged_bytes,
    damaged_data,
    damaged_text,
    data_damage,
    examples,
    text_damage,
    told,
    watched,
)

CASE = small_case(1)
CASE["areas"][0]["surfaces"] = [
    {
        "id": "wall",
        "kind": "wall",
        "width_mm": 3000,
        "height_mm": 2400,
        "material": "plaster",
        "readings": [{"x_mm": 500, "y_mm": 100 * n, "instrument": "pins", "value": 30 - 2 * n} for n in range(6)],
    }
]
CASE["visits"][0]["instruments"] = [{"id": "pins", "mode": "pins", "scale": "wood-percent", "full_scale": 40}]
LINE = json.dumps(CASE)


@pytest.fixture(scope="module", autouse=True)
def _counted():
    yield
    told()


def swept(line):
    text = sweep_line(line)
    text.encode("utf-8")
    result = json.loads(text)
    assert result["state"] in ("weighed", "fault")
    assert "\n" not in text
    for fault in result.get("faults", ()):
        assert "stumbled" not in fault["found"], fault["found"]
    for row in rows({"file": "f", "line": 1, "dates": {}, **result}):
        assert len(row) == len(COLUMNS)
    return result


def test_the_line_that_is_damaged_here_is_sound():
    assert swept(LINE)["state"] == "weighed"


@examples(60, 4_000)
@given(steps=text_damage)
def test_a_damaged_line_has_a_result(steps):
    with watched("sweep text"):
        swept(damaged_text(LINE, steps))


@examples(60, 5_000)
@given(steps=data_damage)
def test_a_line_whose_parts_were_moved_about_has_a_result(steps):
    with watched("sweep data"):
        swept(json.dumps(damaged_data(CASE, steps)))


@examples(100, 5_000)
@given(line=st.one_of(st.text(max_size=50), st.sampled_from(TEXTS)))
def test_any_line_has_a_result(line):
    with watched("sweep any"):
        swept(line)


@examples(100, 5_000)
@given(steps=byte_damage)
def test_the_lines_of_a_damaged_stream_are_taken_one_by_one(steps):
    stream = damaged_bytes(b"{}\r\n\n" + LINE.encode() + b"\n[]\n", steps)
    with watched("sweep stream"):
        found = list(items([STDIN], io.BytesIO(stream)))
        assert len(found) <= stream.count(b"\n") + 1
        assert [item.number for item in found] == sorted({item.number for item in found})
