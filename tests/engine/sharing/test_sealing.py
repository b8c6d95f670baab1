"""A sealed case does not tell its answer, its key fits it alone, and joined they are the worked case."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.case import Case, case_digest, parse_case, write_case
from engine.documents import Document, read_document
from engine.errors import InvalidInput
from engine.rulebook import Rulebook
from engine.sharing.companions import packed
from engine.sharing.renaming import renamed
from engine.sharing.sealing import SealKey, key_text, read_key, seal, unseal

OF_THE_VOCABULARY = ("attribute", "value", "material", "species", "item")


def own_words(data: Any, name: str = "") -> Iterator[str]:
    """Every text of a case that its writer chose: not the words of the vocabulary in which evidence is given."""
    if isinstance(data, dict):
        for field, value in data.items():
            yield from own_words(value, field)
    elif isinstance(data, list):
        for item in data:
            yield from own_words(item, name)
    elif isinstance(data, str) and name not in OF_THE_VOCABULARY:
        yield data


def plain(text: str) -> str:
    return " ".join(text.lower().replace("-", " ").replace("/", " ").split())


def worked(casebook: tuple[tuple[Path, Case], ...]) -> Iterator[tuple[Path, Case]]:
    """The cases of the casebook that have answers, each with its files as they go along."""
    for path, case in casebook:
        if case.key is not None:
            yield path, packed(case, path.parent, "exercise-files").case


def test_no_sealed_case_of_the_casebook_tells_its_answer(
    casebook: tuple[tuple[Path, Case], ...], rulebook: Rulebook
) -> None:
    count = 0
    for path, case in worked(casebook):
        sealed, _ = seal(case, rulebook)
        assert case.key is not None
        data = sealed.model_dump(mode="json", exclude_defaults=True)
        words = [plain(text) for text in own_words(data)]
        truths = {cause for area in case.key.areas for cause in area.truth}
        for told in {*truths, *(rulebook.causes[cause].title for cause in truths)}:
            assert not [text for text in words if plain(told) in text], f"{path.stem}: {told}"
        assert not {plain(case.id), plain(case.title), plain(path.stem)} & set(words), path.stem
        secrets = [case.key.lesson, case.note]
        secrets += [text for area in case.key.areas for text in (area.junior_says, area.source)]
        secrets += [area.note for area in case.areas]
        text = plain(write_case(sealed))
        for secret in filter(None, secrets):
            assert plain(secret) not in text, f"{path.stem}: {secret}"
        assert "key" not in data
        assert not any("conclusion" in area for area in data["areas"])
        count += 1
    assert count > 60


def test_joined_with_its_key_every_case_is_the_worked_case_again(
    casebook: tuple[tuple[Path, Case], ...], rulebook: Rulebook, tmp_path: Path
) -> None:
    for path, case in worked(casebook):
        sealed, key = seal(case, rulebook)
        again = parse_case(read_document(Path("sealed.yaml"), text=write_case(sealed)), rulebook)
        (tmp_path / "key.json").write_text(key_text(key), encoding="utf-8")
        assert unseal(again, read_key(tmp_path / "key.json")) == case, path.stem


def test_only_text_names_and_verdicts_are_withheld(casebook: tuple[tuple[Path, Case], ...], rulebook: Rulebook) -> None:
    for path, case in worked(casebook):
        _, key = seal(case, rulebook)
        fields = {part.at[-1] for part in key.withheld}
        assert fields <= {"id", "title", "note", "key", "conclusion"}, path.stem


TELLING = """\
format: 1
id: ground-rise-in-a-hall
title: Rising damp
note: It is rising damp.
dwelling:
  title: a house with rising damp from the ground, as they say
  note: The author's comment.
visits:
  - {id: ground-rise-visit, on: 2026-01-10, note: seen at once,
     instruments: [{id: pins, mode: pins, scale: wood-percent}]}
areas:
  - id: ground-rise-hall
    title: Hall
    note: Look low.
    facts:
      - {attribute: tide-line-seen, value: yes, basis: seen, visit: ground-rise-visit,
         note: rising damp from the ground}
      - {attribute: base-band-seen, value: yes, basis: seen, note: up to 900 mm}
    surfaces:
      - id: ground-rise-wall
        kind: wall
        width_mm: 3000
        height_mm: 2400
        material: plaster
        readings: [{x_mm: 500, y_mm: 100, instrument: pins, value: 22, visit: ground-rise-visit}]
    surface_temperatures: [{temperature_c: 12, surface: ground-rise-wall}]
    photographs: [{file: ground-rise.jpg, caption: Rising damp from the ground}]
    not_inspected: [{what: Ground rise below the floor, why: no access}]
    conclusion: {causes: [ground-rise], statement: Rising damp., signed_by: A. Author, signed_on: 2026-01-11}
key:
  lesson: It rises.
  areas: [{area: ground-rise-hall, truth: [ground-rise], grade: synthetic, telling: [tide-line-seen]}]
"""


@pytest.fixture
def telling(rulebook: Rulebook) -> Case:
    return parse_case(read_document(Path("case.yaml"), text=TELLING), rulebook)


def test_names_texts_and_conclusions_that_tell_are_withheld_and_evidence_stays(
    telling: Case, rulebook: Rulebook
) -> None:
    sealed, key = seal(telling, rulebook)
    parse_case(read_document(Path("sealed.yaml"), text=write_case(sealed)), rulebook)
    area = sealed.areas[0]
    assert (area.id, area.surfaces[0].id, sealed.visits[0].id) == ("area-1", "surface-1", "visit-1")
    assert area.surfaces[0].readings[0].visit == "visit-1"
    assert area.surface_temperatures[0].surface == "surface-1"
    assert area.facts[0].visit == "visit-1"
    assert area.facts[0].note is None
    assert area.facts[1].note == "up to 900 mm"
    assert area.title == "Hall"
    assert area.conclusion is None
    assert sealed.dwelling.title == area.photographs[0].caption == "withheld until the review"
    assert area.not_inspected[0].what == "withheld until the review"
    assert not [text for text in own_words(sealed.model_dump(mode="json")) if "rise" in text and "file" not in text][1:]
    assert unseal(sealed, key) == telling


def test_a_key_opens_no_other_case_and_none_that_was_changed(telling: Case, rulebook: Rulebook) -> None:
    sealed, key = seal(telling, rulebook)
    other = sealed.model_copy(update={"areas": (sealed.areas[0].model_copy(update={"title": "Kitchen"}),)})
    with pytest.raises(InvalidInput, match="the key belongs to that case as it was sealed"):
        unseal(other, key)
    assert case_digest(sealed) == key.sealed


def test_a_case_without_answers_is_not_sealed(telling: Case, rulebook: Rulebook) -> None:
    with pytest.raises(InvalidInput, match="without a key"):
        seal(telling.model_copy(update={"key": None}), rulebook)


@pytest.mark.parametrize(
    "at", [["nowhere", "here"], ["areas", 7, "id"], ["areas", "id"], ["title", 0], ["visits", 0, "on", "x"]]
)
def test_a_key_that_leads_nowhere_is_named_and_never_a_traceback(
    at: list[Any], telling: Case, rulebook: Rulebook
) -> None:
    sealed, key = seal(telling, rulebook)
    wrong = SealKey.model_validate_json(
        json.dumps({**key.model_dump(mode="json"), "withheld": [{"at": at, "value": 1}]})
    )
    with pytest.raises(InvalidInput):
        unseal(sealed, wrong)


@pytest.mark.parametrize("text", ["{}", "[]", '{"format": 2, "sealed": "x", "withheld": []}', "no json", ""])
def test_a_file_that_is_no_key_is_named_with_its_faults(text: str, tmp_path: Path) -> None:
    path = tmp_path / "key.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InvalidInput, match=r"key\.json"):
        read_key(path)


def test_new_names_never_meet_those_that_are_there(telling: Case) -> None:
    twins = (telling.areas[0], telling.areas[0].model_copy(update={"id": "area-1"}))
    case = renamed(telling.model_copy(update={"areas": twins, "key": None}), lambda name: "rise" in name)
    assert [area.id for area in case.areas] == ["area-2", "area-1"]


@settings(max_examples=12, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_any_sound_case_with_an_answer_is_sealed_and_joined_again(
    data: st.DataObject, strategies: ModuleType, rulebook: Rulebook
) -> None:
    written = data.draw(strategies.written_cases())
    truths = [data.draw(st.sampled_from(sorted(rulebook.causes))) for _ in written["areas"]]
    areas = [
        {"area": area["id"], "truth": [cause], "grade": "synthetic"}
        for area, cause in zip(written["areas"], truths, strict=True)
    ]
    written["areas"][0]["note"] = f"It is {rulebook.causes[truths[0]].title}."
    case = parse_case(Document("case.yaml", {**written, "key": {"areas": areas}}, {}))
    sealed, key = seal(case, rulebook)
    again = parse_case(read_document(Path("sealed.yaml"), text=write_case(sealed)))
    assert again == sealed
    assert plain(rulebook.causes[truths[0]].title) not in plain(write_case(sealed))
    assert unseal(again, SealKey.model_validate_json(key_text(key))) == case
