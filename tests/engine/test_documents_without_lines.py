"""JSON read without the lines of its parts: the same data, or the same faults, as with them; quicker is all it is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine import json_reading
from engine.documents import LIMITS, read_document
from engine.errors import InvalidInput

LEAVES = st.one_of(st.none(), st.booleans(), st.integers(-(2**54), 2**54), st.floats(), st.text(max_size=8))
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(st.text(max_size=4), inner, max_size=4)),
    max_leaves=20,
)
MARKUP = st.text(st.sampled_from('ab01 :,-[]{}"\\.eEntu\n\t/'), max_size=60)


def outcome(text: str, *, placed: bool) -> Any:
    try:
        return repr(read_document(Path("case.json"), text=text, placed=placed).data)
    except InvalidInput as refused:
        return refused.problems


@settings(deadline=None, max_examples=300)
@given(text=st.one_of(VALUES.map(json.dumps), VALUES.map(lambda v: json.dumps(v, ensure_ascii=False)), MARKUP))
def test_the_data_or_the_faults_are_those_that_are_read_with_lines(text: str) -> None:
    assert outcome(text, placed=False) == outcome(text, placed=True)


@pytest.mark.parametrize(
    "text",
    [
        '{"a": 1, "a": 2}',
        '{"a": NaN}',
        '{"a": 1e999}',
        '{"a": 9007199254740993}',
        '{"a": ' + "9" * 5000 + "}",
        '{"a": "\\ud800"}',
        "[" * 34 + "]" * 34,
        "[" * 100_000,
        "{'a': 1}",
        '{"a": 1} x',
        "[1,]",
        "",
    ],
)
def test_what_is_refused_with_lines_is_refused_without(text: str) -> None:
    with pytest.raises(InvalidInput):
        read_document(Path("case.json"), text=text, placed=False)
    assert outcome(text, placed=False) == outcome(text, placed=True)


def test_too_many_values_are_refused() -> None:
    with pytest.raises(InvalidInput, match="more than 300,000 values"):
        read_document(Path("case.json"), text="[" + ",".join("1" for _ in range(300_001)) + "]", placed=False)


def test_a_sound_case_is_read_the_quick_way_and_has_the_line_of_the_whole() -> None:
    text = json.dumps({"areas": [{"readings": [1, 2.5, None, "wet"]}]})
    assert json_reading.plain(text, LIMITS) == json.loads(text)
    document = read_document(Path("case.json"), text="\n" + text, placed=False)
    assert document.line(("areas", 0, "readings")) == 1
