"""Case files, damaged: refused with sentences or read and weighed, never anything else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.case import parse_case, read_case
from engine.documents import read_document
from engine.opinion import weigh_with
from engine.sweeping.working import reasoner_for
from tests.fuzzing import (
    ROOT,
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

PATHS = sorted((ROOT / "casebook").glob("*/*.yaml"))
TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in PATHS if path.stat().st_size < 20_000}
SHORT = {name: text for name, text in TEXTS.items() if len(text) < 9_000}
names, short = st.sampled_from(sorted(TEXTS)), st.sampled_from(sorted(SHORT))


@pytest.fixture(scope="module", autouse=True)
def _counted():
    yield
    told()


@pytest.fixture(scope="module")
def reasoner():
    return reasoner_for((), "auto")


def read(text, suffix, reasoner):
    return parse_case(read_document(Path(f"case{suffix}"), text=text), reasoner.rulebook)


@examples(150, 25_000)
@given(name=names, steps=text_damage)
def test_damaged_yaml_is_refused_or_read(reasoner, name, steps):
    with watched("case yaml"):
        read(damaged_text(TEXTS[name], steps), ".yaml", reasoner)


@examples(80, 10_000)
@given(name=short, steps=text_damage)
def test_damaged_json_is_refused_or_read(reasoner, name, steps):
    data = read_document(Path("case.yaml"), text=SHORT[name]).data
    with watched("case json"):
        read(damaged_text(json.dumps(data, indent=1), steps), ".json", reasoner)


@examples(40, 4_000)
@given(name=short, steps=data_damage)
def test_a_case_whose_parts_were_moved_about_is_refused_or_weighed(reasoner, name, steps):
    data = damaged_data(read_document(Path("case.yaml"), text=SHORT[name]).data, steps)
    with watched("case data"):
        weigh_with(reasoner, read(json.dumps(data), ".json", reasoner))


@examples(60, 10_000)
@given(name=short, steps=byte_damage, suffix=st.sampled_from([".yaml", ".json"]))
def test_damaged_bytes_are_refused_or_read(tmp_path_factory, reasoner, name, steps, suffix):
    path = tmp_path_factory.getbasetemp() / f"damaged{suffix}"
    path.write_bytes(damaged_bytes(SHORT[name].encode("utf-8"), steps))
    with watched("case bytes"):
        read_case(path, vocabulary=reasoner.rulebook)


@examples(150, 15_000)
@given(text=st.text(max_size=200), suffix=st.sampled_from([".yaml", ".json"]))
def test_any_text_at_all_is_refused_or_read(reasoner, text, suffix):
    with watched("case text"):
        read(text, suffix, reasoner)


@examples(150, 15_000)
@given(
    text=st.lists(st.sampled_from([*"[]{}:,-?&*!|>%@`'\"#\n \t", "a", "1", "<<", "---", "..."]), max_size=60).map(
        "".join
    ),
    suffix=st.sampled_from([".yaml", ".json"]),
)
def test_any_punctuation_is_refused_or_read(reasoner, text, suffix):
    with watched("case marks"):
        read(text, suffix, reasoner)
