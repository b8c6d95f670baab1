"""Records of a rule base, damaged: refused with every fault, or a base that is sound."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.documents import read_document
from engine.errors import InvalidInput
from engine.rulebook import load_rulebook
from engine.rulebook.loading import own_folder
from engine.rulebook.records import RuleFile, read_records
from tests.fuzzing import damaged_data, damaged_text, data_damage, examples, sound, text_damage, told, watched

OWN = own_folder()
FILES = {
    path.relative_to(OWN).as_posix(): path.read_text(encoding="utf-8")
    for path in sorted(OWN.rglob("*.yaml"))
    if path.stat().st_size < 12_000
}
SHORT = {name: text for name, text in FILES.items() if len(text) < 5_000}


@pytest.fixture(scope="module", autouse=True)
def _counted():
    yield
    told()


def read(name, content):
    """One file's records by themselves."""
    file = RuleFile(name.partition("/")[0].removesuffix(".yaml"), name, OWN / name)
    records = read_records([[file]], {file: content})
    if records.problems:
        sound(InvalidInput(records.problems))


@examples(80, 5_000)
@given(name=st.sampled_from(sorted(FILES)), steps=text_damage)
def test_a_damaged_file_of_records_is_told_of_or_read(name, steps):
    with watched("rule text"):
        read(name, damaged_text(FILES[name], steps).encode("utf-8", "surrogatepass"))


@examples(60, 5_000)
@given(name=st.sampled_from(sorted(SHORT)), steps=data_damage)
def test_records_whose_parts_were_moved_about_are_told_of_or_read(name, steps):
    data = damaged_data(read_document(OWN / name, text=SHORT[name]).data, steps)
    with watched("rule data"):
        read(name, json.dumps(data, indent=1).encode("utf-8"))


@examples(3, 1_000)
@given(name=st.sampled_from(sorted(SHORT)), steps=data_damage)
def test_a_whole_base_with_damaged_records_on_top_is_refused_or_loaded(tmp_path_factory, name, steps):
    folder = tmp_path_factory.mktemp("rules")
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    data = damaged_data(read_document(OWN / name, text=SHORT[name]).data, steps)
    path.write_text(json.dumps(data, indent=1), encoding="utf-8")
    with watched("rule base"):
        load_rulebook([folder], cache=False)
