"""A case is the same after writing and reading, and its digest sees the evidence and nothing else."""

from __future__ import annotations

import copy
import json
import random
from pathlib import Path
from types import ModuleType
from typing import Any

import jsonschema
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.case import Case, case_digest, case_schema, parse_case, write_case
from engine.documents import Document, read_document

DRAWN = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))


def read_back(text: str, name: str = "case.yaml") -> Case:
    return parse_case(read_document(Path(name), text=text))


def from_data(data: dict[str, Any]) -> Case:
    return parse_case(Document("case.yaml", data, {}))


def shuffled(value: Any, order: random.Random) -> Any:
    if isinstance(value, dict):
        names = list(value)
        order.shuffle(names)
        return {name: shuffled(value[name], order) for name in names}
    if isinstance(value, list):
        items = [shuffled(item, order) for item in value]
        order.shuffle(items)
        return items
    return value


@DRAWN
@given(data=st.data())
def test_a_written_case_reads_back_to_the_same_case(strategies: ModuleType, data: st.DataObject) -> None:
    case = data.draw(strategies.cases())
    assert read_back(write_case(case)) == case


@DRAWN
@given(data=st.data())
def test_a_case_reads_the_same_from_json_as_from_yaml(strategies: ModuleType, data: st.DataObject) -> None:
    written = data.draw(strategies.written_cases())
    assert read_back(json.dumps(written), "case.json") == read_back(write_case(from_data(written)))


@DRAWN
@given(data=st.data())
def test_the_digest_ignores_the_order_of_everything(strategies: ModuleType, data: st.DataObject) -> None:
    written = data.draw(strategies.written_cases())
    mixed = shuffled(written, random.Random(data.draw(st.integers(0, 999))))
    assert case_digest(from_data(mixed)) == case_digest(from_data(written))


@DRAWN
@given(data=st.data())
def test_the_digest_ignores_the_key_and_sees_every_fact(strategies: ModuleType, data: st.DataObject) -> None:
    written = data.draw(strategies.written_cases())
    written.pop("key", None)
    digest = case_digest(from_data(written))
    keyed = copy.deepcopy(written)
    keyed["key"] = {"areas": [{"area": "lounge", "truth": ["flue-salts"], "grade": "expert"}]}
    assert case_digest(from_data(keyed)) == digest
    fact = {"attribute": "one-more", "value": "no", "basis": "seen"}
    written["areas"][0]["facts"].append(fact)
    assert case_digest(from_data(written)) != digest


@DRAWN
@given(data=st.data())
def test_every_sound_case_is_valid_by_the_published_schema(strategies: ModuleType, data: st.DataObject) -> None:
    """Checked with the jsonschema package, an implementation of JSON Schema that is not ours."""
    jsonschema.validate(data.draw(strategies.written_cases()), case_schema())


def test_minus_zero_and_zero_have_one_digest() -> None:
    base = {
        "format": 1,
        "id": "one",
        "title": "One",
        "dwelling": {"title": "House"},
        "visits": [{"id": "first", "on": "2024-03-05", "outside": {"temperature_c": 0.0}}],
        "areas": [{"id": "lounge", "title": "Lounge"}],
    }
    minus = copy.deepcopy(base)
    minus["visits"][0]["outside"]["temperature_c"] = -0.0  # type: ignore[index]
    assert case_digest(from_data(minus)) == case_digest(from_data(base))
