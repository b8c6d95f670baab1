"""Old formats are read as today's, brought up to date with a backup, and never written over in silence."""

from __future__ import annotations

import hashlib
import json
import shutil
from datetime import datetime
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from engine.case import parse_case, read_case
from engine.case.changing import Change
from engine.case.migrating import (
    FORMAT,
    STEPS,
    back_up,
    brought_up_to_date,
    changes,
    format_of,
    is_old,
    refuse_old,
)
from engine.case.store import NotSaved, Store
from engine.documents import Document, read_document
from engine.errors import InvalidInput

DRAFT = Path(__file__).with_name("formats") / "0-draft.yaml"
FACT = {"attribute": "weather", "value": "dry", "basis": "seen"}


@pytest.fixture
def draft(tmp_path: Path) -> Path:
    return Path(shutil.copy(DRAFT, tmp_path / "visit.yaml"))


@pytest.fixture
def words(small_vocabulary: ModuleType) -> Any:
    return small_vocabulary.Words()


def folder(path: Path) -> dict[str, str]:
    return {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in path.parent.iterdir()}


def test_there_is_a_step_from_every_older_format_to_the_next() -> None:
    assert sorted(STEPS) == list(range(FORMAT))


def test_a_draft_is_read_as_todays_format_and_its_file_stays_as_it_is(draft: Path, words: Any) -> None:
    before = folder(draft)
    case = read_case(draft, vocabulary=words)
    assert folder(draft) == before
    assert case.format == 1
    assert case.title == "A damp wall in a terrace"
    assert (case.dwelling.facts[0].value, case.dwelling.facts[0].by) == ("solid-brick", "the owner")
    assert case.visits[0].instruments[0].note == "read again"
    assert case.areas[0].facts[0].value == "yes"
    assert case.areas[0].facts[1].value == 900
    assert case.areas[0].surfaces[0].dry_references[0].place == "behind the door"
    assert case.areas[0].photographs[0].caption == "The wall from the door"


def test_what_the_draft_allowed_is_refused_of_a_file_that_says_it_is_of_today(draft: Path) -> None:
    text = draft.read_text(encoding="utf-8").replace("format: 0", "format: 1")
    with pytest.raises(InvalidInput) as refused:
        parse_case(read_document(draft, text=text))
    assert {problem.field for problem in refused.value.problems} >= {
        "title",
        "dwelling.facts[0].value",
        "dwelling.facts[0].by",
        "visits[0].instruments[0].note",
        "areas[0].photographs[0].caption",
    }


def test_a_fault_in_an_old_file_is_told_with_its_own_line(draft: Path, words: Any) -> None:
    text = draft.read_text(encoding="utf-8").replace("width_mm: 3000", "width_mm: wide")
    line = next(number for number, row in enumerate(text.splitlines(), start=1) if "wide" in row)
    with pytest.raises(InvalidInput) as refused:
        parse_case(read_document(draft, text=text), words)
    assert [problem.line for problem in refused.value.problems] == [line]


@pytest.mark.parametrize("number", [FORMAT + 1, 7, 10**9])
def test_a_later_format_is_refused_in_one_sentence_whatever_else_the_file_holds(number: int) -> None:
    document = Document("new.yaml", {"format": number, "rooms": [], "id": 3}, {(): 1, ("format",): 1})
    with pytest.raises(InvalidInput) as refused:
        parse_case(document)
    assert [problem.sentence() for problem in refused.value.problems] == [
        f"new.yaml:1: format: found {number}; allowed: 0 to 1 "
        "(the file was written by a later version of the program; read it with that one)"
    ]


@pytest.mark.parametrize("number", [-1, True, False, "0", 0.5, None])
def test_what_is_no_format_at_all_is_left_to_the_check_of_the_form(number: Any, draft: Path) -> None:
    document = read_document(draft)
    data = {**document.data, "format": number}
    with pytest.raises(InvalidInput, match=r"format: found"):
        parse_case(Document("odd.yaml", data, document.lines))


def test_migrating_changes_values_where_they_stand_and_gives_the_same_when_done_again(draft: Path) -> None:
    document = read_document(draft)
    once = brought_up_to_date(document)
    assert brought_up_to_date(once) is once
    assert format_of(document) == 0
    places = {".".join(map(str, path)) for path, _ in changes(document.data, once.data)}
    assert {"format", "title", "dwelling.facts.0.value"} < places
    assert "areas.0.facts.1.value" not in places
    assert is_old(document)
    assert not is_old(once)
    with pytest.raises(InvalidInput, match="dampwright case migrate"):
        refuse_old(document)
    refuse_old(once)


def test_a_backup_is_kept_once_and_never_replaced(draft: Path) -> None:
    first = draft.read_bytes()
    assert back_up(draft, 0).name == "visit.yaml.format-0.backup"
    assert back_up(draft, 0).read_bytes() == first
    draft.write_bytes(first + b"# more\n")
    second = back_up(draft, 0)
    assert second.name == "visit.yaml.format-0-2.backup"
    assert draft.with_name("visit.yaml.format-0.backup").read_bytes() == first
    assert second.read_bytes() == first + b"# more\n"


def test_a_session_leaves_an_old_file_alone_until_the_first_save_and_then_keeps_a_backup(
    draft: Path, words: Any
) -> None:
    before = draft.read_bytes()
    with Store(draft, words, "tester", lambda: datetime(2026, 1, 1)) as store:
        store.check(Change(("visits", 0, "facts"), (FACT,)))
        assert draft.read_bytes() == before
        assert not list(draft.parent.glob("*.backup"))
        store.put(Change(("visits", 0, "facts"), (FACT,)), "asked")
        store.put(
            Change(("areas", 0, "facts"), ({"attribute": "tide-mark", "value": "no", "basis": "seen"},), 0), "again"
        )
        (backup,) = draft.parent.glob("*.backup")
        assert backup.read_bytes() == before
        assert sum("holds it as it was" in remark for remark in store.remarks) == 1
    document = read_document(draft)
    assert format_of(document) == FORMAT
    case = parse_case(document, words)
    assert case.visits[0].facts[0].value == "dry"
    assert case.areas[0].facts[0].value == "no"


def test_where_no_backup_can_be_kept_nothing_is_written_over(
    draft: Path, words: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = draft.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("engine.case.migrating.save_new", full)
    with Store(draft, words, "tester", lambda: datetime(2026, 1, 1)) as store, pytest.raises(NotSaved):
        store.put(Change(("visits", 0, "facts"), (FACT,)), "asked")
    assert draft.read_bytes() == before


def test_a_draft_in_json_is_brought_up_to_date_too(tmp_path: Path, words: Any) -> None:
    path = tmp_path / "visit.json"
    path.write_text(json.dumps(read_document(DRAFT).data), encoding="utf-8")
    assert read_case(path, vocabulary=words) == read_case(DRAFT, vocabulary=words)
    with Store(path, words, "tester", lambda: datetime(2026, 1, 1)) as store:
        store.put(Change(("visits", 0, "facts"), (FACT,)), "asked")
    assert json.loads(path.read_text(encoding="utf-8"))["format"] == FORMAT
