"""A case is read whole or refused whole, with every fault told, and never with a traceback."""

from __future__ import annotations

import copy
import json
import subprocess
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.case import Case, parse_case, read_case, write_case
from engine.case.parts import LISTED
from engine.documents import Document, read_document
from engine.errors import InvalidInput

DRAWN = settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))


def small() -> dict[str, Any]:
    instruments = [
        {"id": "pins", "mode": "pins", "scale": "wood-percent"},
        {"id": "cap", "mode": "capacitance", "scale": "relative", "full_scale": 1000},
    ]
    wall = {"id": "wall", "kind": "wall", "width_mm": 3000, "height_mm": 2400, "material": "plaster"}
    return {
        "format": 1,
        "id": "small",
        "title": "A small case",
        "dwelling": {"title": "House"},
        "visits": [{"id": "first", "on": "2024-03-05", "instruments": instruments}],
        "areas": [{"id": "lounge", "title": "Lounge", "surfaces": [wall]}],
    }


def outcome(data: Any, vocabulary: Any = None) -> Case | list[str]:
    """The case, or what is told of its faults; any other error fails the test."""
    try:
        return parse_case(Document("case.yaml", data, {}), vocabulary)
    except InvalidInput as error:
        return [f"{problem.field}: {problem.found}" for problem in error.problems]


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for name, item in items for place in places(item, (*path, name)))]


JUNK = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**6), 10**6), st.floats(), st.text(max_size=10), st.just([]), st.just({}),
    st.lists(st.integers(), max_size=2), st.just([[]]), st.just([{}]), st.just({"id": {}}), st.just({"id": []}),
)  # fmt: skip


@DRAWN
@given(data=st.data())
def test_a_case_with_anything_put_anywhere_is_read_or_its_faults_told(
    strategies: ModuleType, small_vocabulary: ModuleType, data: st.DataObject
) -> None:
    written = {"root": data.draw(strategies.written_cases())}
    for _ in range(data.draw(st.integers(1, 3))):
        *way, last = data.draw(st.sampled_from(places(written)[1:]))
        holder: Any = written
        for part in way:
            holder = holder[part]
        holder[last] = data.draw(JUNK)
    told = outcome(written["root"], small_vocabulary.Words())
    assert isinstance(told, Case) or told


@DRAWN
@given(data=st.data())
def test_a_written_file_with_bytes_changed_is_read_or_its_faults_told(
    strategies: ModuleType, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    content = bytearray(write_case(data.draw(strategies.cases())).encode("utf-8"))
    for _ in range(data.draw(st.integers(1, 5))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    path = tmp_path_factory.getbasetemp() / "changed.yaml"
    path.write_bytes(bytes(content))
    try:
        case = read_case(path)
    except InvalidInput as error:
        assert error.problems  # noqa: PT017 - either outcome is right
    else:
        assert isinstance(case, Case)


@pytest.mark.parametrize("word", ["yes", "no", "unknown", "not-applicable", "not-inspected"])
def test_an_answer_is_the_word_that_is_written(small_vocabulary: ModuleType, word: str) -> None:
    data = small()
    data["areas"][0]["facts"] = [{"attribute": "tide-mark", "value": "WORD", "basis": "seen"}]
    text = json.dumps(data).replace('"WORD"', word)
    case = parse_case(read_document(Path("case.yaml"), text=text), small_vocabulary.Words())
    assert case.areas[0].facts[0].value == word


def test_faults_of_form_and_of_agreement_are_told_together(small_vocabulary: ModuleType) -> None:
    data = small()
    data["title"] = 7
    data["areas"][0]["facts"] = [{"attribute": "tide-marks", "value": "yes", "basis": "seen"}]
    data["areas"][0]["surfaces"][0]["readings"] = [{"x_mm": 9999, "y_mm": 5, "instrument": "pin", "value": 120}]
    assert outcome(data, small_vocabulary.Words()) == [
        "areas[0].facts[0].attribute: the unknown attribute 'tide-marks'",
        "areas[0].surfaces[0].readings[0].instrument: the unknown instrument 'pin'",
        "areas[0].surfaces[0].readings[0].x_mm: 9999 mm, outside the surface",
        "title: 7",
    ]


def test_one_place_is_not_complained_of_twice() -> None:
    data = small()
    data["areas"][0]["surfaces"][0]["readings"] = [{"x_mm": 1e9, "y_mm": "5", "instrument": "pins", "value": True}]
    assert outcome(data) == [
        "areas[0].surfaces[0].readings[0].value: true",
        "areas[0].surfaces[0].readings[0].x_mm: 1000000000.0",
        "areas[0].surfaces[0].readings[0].y_mm: '5'",
    ]


def test_a_file_full_of_faults_lists_some_and_counts_the_rest() -> None:
    data = small()
    data["areas"][0]["facts"] = [{"attribute": "a", "value": "b", "basis": f"basis-{n}"} for n in range(900)]
    told = outcome(data)
    assert isinstance(told, list)
    assert len(told) == LISTED + 1
    assert told[0] == f": {900 - LISTED} more faults that are not listed"


@pytest.mark.parametrize("value", [True, False, 1, 1.0, "yes"])
def test_the_format_is_the_number_one_and_nothing_that_equals_it(value: Any) -> None:
    told = outcome({**small(), "format": value})
    assert isinstance(told, Case) == (type(value) is int)


def test_two_visits_may_read_one_wall_on_different_scales_but_one_visit_may_not() -> None:
    data = small()
    other = {"id": "pins-b", "mode": "pins", "scale": "relative", "full_scale": 100}
    data["visits"][0]["instruments"].append(other)
    data["visits"].append({"id": "second", "on": "2024-06-11", "instruments": [copy.deepcopy(other)]})
    readings = [
        {"x_mm": 10, "y_mm": 10, "instrument": "pins", "value": 20, "visit": "first"},
        {"x_mm": 10, "y_mm": 10, "instrument": "pins-b", "value": 20, "visit": "second"},
    ]
    data["areas"][0]["surfaces"][0]["readings"] = readings
    assert isinstance(outcome(data), Case)
    readings[1].update(visit="first", x_mm=20)
    (told,) = outcome(data)
    assert told.endswith("the scale relative to 100 among readings of mode pins on the scale wood-percent")


@pytest.mark.parametrize("edge", [(0, 0), (3000, 2400)])
def test_a_reading_on_the_edge_of_its_surface_lies_on_it(edge: tuple[int, int]) -> None:
    data = small()
    reading = {"x_mm": edge[0], "y_mm": edge[1], "instrument": "cap", "value": 1000}
    data["areas"][0]["surfaces"][0]["readings"] = [reading]
    assert isinstance(outcome(data), Case)


@pytest.mark.parametrize("file", ["a.csv", "logs/a b.csv", "logs/é.csv", ".hidden/x", "console.csv", "com10.csv"])
def test_a_path_inside_the_case_folder_is_taken(file: str) -> None:
    data = small()
    data["areas"][0]["photographs"] = [{"file": file, "caption": "The wall"}]
    assert isinstance(outcome(data), Case)


@pytest.mark.parametrize(
    "file",
    ["/a", "\\\\host\\a", "a\\b", "..", "a/../../b", "./a", "a/", "a//b", "C:a", "c:/a", "~root/a", "a:stream", "NUL",
     "aux.c/x", "COM1.csv", "lpt9", "com¹", "a.", "a /b", " a/b", "what?", "a*"],
)  # fmt: skip
def test_a_path_that_could_lead_elsewhere_on_any_system_is_refused(file: str) -> None:
    data = small()
    data["areas"][0]["loggers"] = [{"id": "one", "kind": "room-air", "file": file}]
    data["areas"][0]["photographs"] = [{"file": file, "caption": "The wall"}]
    told = outcome(data)
    # A line of text has no spaces around it, so a space before the whole name is gone before it is a path.
    assert isinstance(told, list)
    assert [line.split(":")[0] for line in told] == ["areas[0].loggers[0].file", "areas[0].photographs[0].file"]


@pytest.mark.parametrize("character", ["\x00", "\x1b", "\x7f", "\x85", "\u2028", "\u202e", "\u2066", "\ufeff", "\r"])
def test_text_that_could_steer_a_terminal_or_turn_writing_round_is_refused(character: str) -> None:
    told = outcome({**small(), "note": f"damp{character}wall"})
    assert told == [f"note: the control character U+{ord(character):04X}"]
    assert isinstance(outcome({**small(), "note": "damp\n\twall"}), Case)


def test_reading_a_case_loads_nothing_heavy_and_no_schema_or_template() -> None:
    code = "import sys; from engine.case import read_case; print(*sorted(sys.modules))"
    root = Path(__file__).parents[3]
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    loaded = set(ran.stdout.split())
    assert "engine.case.reading" in loaded
    assert not loaded & {"numpy", "scipy", "rich", "engine.case.template", "engine.case.schema", "engine.case.writing"}
