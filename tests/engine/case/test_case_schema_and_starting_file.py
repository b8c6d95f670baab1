"""The schema says what the reader checks, and the starting file reads, as written and with every example taken up."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from types import ModuleType
from typing import Any

import jsonschema
import pytest

from engine.case import Case, case_schema, parse_case, starting_file
from engine.documents import read_document


def read(text: str, vocabulary: Any = None) -> Case:
    return parse_case(read_document(Path("start.yaml"), text=text), vocabulary)


def examples_taken_up(text: str) -> str:
    """The file with the "#" taken away from every example; prose has one space after its "#"."""
    return re.sub(r"^( *)#(?=[^ #\n]|  )", r"\1", text, flags=re.MULTILINE)


@pytest.mark.parametrize("with_words", [False, True])
def test_the_starting_file_is_a_sound_case(small_vocabulary: ModuleType, with_words: bool) -> None:
    words = small_vocabulary.Words() if with_words else None
    case = read(starting_file(words, day=date(2026, 2, 3)), words)
    assert case.visits[0].on == date(2026, 2, 3)
    assert not case.areas[0].surfaces


@pytest.mark.parametrize("with_words", [False, True])
def test_every_example_in_the_starting_file_is_sound(small_vocabulary: ModuleType, with_words: bool) -> None:
    words = small_vocabulary.Words() if with_words else None
    case = read(examples_taken_up(starting_file(words)), words)
    written = case.model_dump(exclude_defaults=True)
    wanted = {"surfaces", "air", "surface_temperatures", "samples", "timber", "loggers", "photographs", "conclusion"}
    assert wanted <= set(written["areas"][0])
    assert {"zones", "features", "readings", "dry_references"} <= set(written["areas"][0]["surfaces"][0])
    assert {"instruments", "outside", "facts", "by"} <= set(written["visits"][0])
    assert {"commission", "note"} <= set(written)


def test_the_starting_file_lists_every_attribute_at_its_place_with_its_values(small_vocabulary: ModuleType) -> None:
    text = starting_file(small_vocabulary.Words())
    assert "  #  # wall construction: solid-brick | cavity-unfilled\n  #  - {attribute: wall-construction," in text
    assert "    #  # height of the damp: a number from 0 up to 5000 mm\n" in text
    assert text.index("wall-construction") < text.index("attribute: weather") < text.index("attribute: tide-mark")


def test_the_schema_is_a_sound_json_schema(small_vocabulary: ModuleType) -> None:
    """Checked against the meta-schema by the jsonschema package."""
    jsonschema.Draft202012Validator.check_schema(case_schema())
    jsonschema.Draft202012Validator.check_schema(case_schema(small_vocabulary.Words()))


@pytest.mark.parametrize(
    ("fact", "sound"),
    [
        ({"attribute": "tide-mark", "value": "yes", "basis": "seen"}, True),
        ({"attribute": "tide-mark", "value": "unknown", "basis": "told"}, True),
        ({"attribute": "damp-height", "value": 900, "basis": "measured"}, True),
        ({"attribute": "damp-height", "value": "not-inspected", "basis": "measured"}, True),
        ({"attribute": "tide-mark", "value": "maybe", "basis": "seen"}, False),
        ({"attribute": "tide-mark", "value": True, "basis": "seen"}, False),
        ({"attribute": "damp-height", "value": 9000, "basis": "measured"}, False),
        ({"attribute": "tide-marks", "value": "yes", "basis": "seen"}, False),
        ({"attribute": "tide-mark", "value": "yes", "basis": "seen", "note": None}, False),
        ({"attribute": "tide-mark", "value": "yes"}, False),
    ],
)
def test_the_schema_knows_the_words_of_the_vocabulary(
    small_vocabulary: ModuleType, fact: dict[str, Any], sound: bool
) -> None:
    case = {
        "format": 1,
        "id": "one",
        "title": "One",
        "dwelling": {"title": "House"},
        "visits": [{"id": "first", "on": "2024-03-05"}],
        "areas": [{"id": "lounge", "title": "Lounge", "facts": [fact]}],
    }
    validator = jsonschema.Draft202012Validator(case_schema(small_vocabulary.Words()))
    assert validator.is_valid(case) == sound


def test_asking_for_a_schema_does_not_change_what_the_next_caller_gets(small_vocabulary: ModuleType) -> None:
    before = case_schema()
    case_schema(small_vocabulary.Words())
    assert case_schema() == before
