"""One value set in the text of a case: exactly that, whatever the layout, and nothing when it cannot be done."""

from __future__ import annotations

import json
from pathlib import Path
from types import ModuleType

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.case.setting import with_value
from engine.documents import read_document

YAML, JSON = Path("case.yaml"), Path("case.json")


@pytest.mark.parametrize(
    ("text", "path", "value", "new"),
    [
        ("a: 1 # one\nb: 2\n", ("a",), 3, "a: 3 # one\nb: 2\n"),
        ("a: 1\n", ("b",), "x y", "a: 1\nb: x y\n"),
        ("a: |\n  two\n  lines\n\nb: 2\n", ("a",), "one", "a: one\n\nb: 2\n"),
        ("l: [{f: a.jpg, c: x}] # end\n", ("l", 0, "s"), "ff", "l: [{f: a.jpg, c: x, s: ff}] # end\n"),
        ("l:\n  - f: a # b\n  - f: b\n", ("l", 0, "s"), "ff", "l:\n  - f: a # b\n    s: ff\n  - f: b\n"),
        ("l:\r\n  - f: a\r\n", ("l", 0, "s"), "00", 'l:\r\n  - f: a\r\n    s: "00"\r\n'),
        ("é: ü\nb: 'no'\n", ("b",), "no", "é: ü\nb: no\n"),
    ],
)  # fmt: skip
def test_only_the_value_changes(text: str, path: tuple[str | int, ...], value: str | int, new: str) -> None:
    changed = with_value(text, YAML, path, value)
    assert changed is not None
    assert changed.replace("'", '"') == new.replace("'", '"')


@pytest.mark.parametrize("text", ["{}\n", "a: &x {b: 1}\nc: *x\n"])
def test_what_cannot_be_changed_alone_is_left(text: str) -> None:
    assert with_value(text, YAML, ("c", "b") if "c:" in text else ("a",), "new") is None


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_a_value_set_in_any_case_is_the_only_thing_that_differs(data: st.DataObject, strategies: ModuleType) -> None:
    written = data.draw(strategies.written_cases())
    style = data.draw(st.sampled_from([None, False, True]))
    text = yaml.safe_dump(written, allow_unicode=True, sort_keys=False, default_flow_style=style)
    value = data.draw(st.text("abc: #-'\"{}[]é", min_size=1, max_size=12).map(str.strip).filter(bool))
    plain = read_document(YAML, text=text).data
    for name, kind in ((YAML, text), (JSON, None)):
        source = kind if kind is not None else json.dumps(plain)
        new = with_value(source, name, ("dwelling", "title"), value)
        assert new is not None
        assert read_document(name, text=new).data == {**plain, "dwelling": {**plain["dwelling"], "title": value}}
