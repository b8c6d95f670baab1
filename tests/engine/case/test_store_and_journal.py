"""A case held open: nothing lost half-way, one session at a time, everything in the journal."""

from __future__ import annotations

import errno
import os
import tempfile
from datetime import datetime

import pytest

from engine.case import read_case
from engine.case import saving as saving_module
from engine.case.changing import Change
from engine.case.journal import entries, journal_path, put_off
from engine.case.locking import Busy
from engine.case.store import NotSaved, Store
from engine.errors import InvalidInput
from engine.rulebook import load_rulebook

TEXT = """\
# A comment that a person wrote.
format: 1
id: small
title: Small
dwelling:
  title: House  # and another
visits:
  - {id: first, on: 2026-01-15}
areas:
  - id: room
    title: Room
    facts:
      - {attribute: storey, value: ground-floor, basis: seen}  # judged at the door
"""


def clock():
    return datetime(2026, 1, 16, 10, 0)


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook()


@pytest.fixture
def path(tmp_path):
    found = tmp_path / "small.yaml"
    found.write_text(TEXT, encoding="utf-8")
    return found


@pytest.fixture
def opened(rulebook):
    return lambda path: Store(path, rulebook, "inspector", clock)


def fact(name, value, index=None):
    return Change(("areas", 0, "facts"), ({"attribute": name, "value": value, "basis": "seen"},), index)


def values(path, rulebook):
    return [(fact.attribute, fact.value) for fact in read_case(path, vocabulary=rulebook).areas[0].facts]


def test_an_answer_is_in_the_file_and_in_the_journal_and_comments_stay(path, opened, rulebook):
    with opened(path) as store:
        store.put(fact("tide-line-seen", "yes"), "asked")
        store.put(fact("storey", "below-ground", 0), "changed")
        store.put(
            Change(("dwelling", "facts"), ({"attribute": "heating", "value": "steady", "basis": "told"},)), "asked"
        )
    assert values(path, rulebook) == [("storey", "below-ground"), ("tide-line-seen", "yes")]
    text = path.read_text(encoding="utf-8")
    assert all(part in text for part in ("# A comment that a person wrote.", "# and another", "# judged at the door"))
    lines = entries(path)
    assert [(line.attribute, line.old, line.new, line.reason) for line in lines] == [
        ("tide-line-seen", None, "yes", "asked"),
        ("storey", "ground-floor", "below-ground", "changed"),
        ("heating", None, "steady", "asked"),
    ]
    assert lines[0].author == "inspector"
    assert lines[0].time == "2026-01-16T10:00:00"


def test_where_comments_cannot_be_kept_it_is_said_once_and_the_case_is_whole(path, opened, rulebook):
    path.write_text(
        TEXT.replace("- id: room\n    title: Room", "- &room\n    id: room\n    title: Room"), encoding="utf-8"
    )
    path.write_text(
        "# kept until then\n{format: 1, id: small, title: Small, dwelling: {title: House}, visits: "
        "[{id: first, on: 2026-01-15}], areas: [{id: room, title: Room}]}\n",
        encoding="utf-8",
    )
    with opened(path) as store:
        store.put(fact("storey", "ground-floor"), "asked")
        store.put(fact("tide-line-seen", "no"), "asked")
        assert sum("comments" in remark for remark in store.remarks) == 1
    assert values(path, rulebook) == [("storey", "ground-floor"), ("tide-line-seen", "no")]


def test_a_case_in_json_stays_json(tmp_path, path, opened, rulebook):
    import json

    from engine.documents import read_document

    other = tmp_path / "small.json"
    other.write_text(json.dumps(read_document(path).data), encoding="utf-8")
    with opened(other) as store:
        store.put(fact("tide-line-seen", "yes"), "asked")
    assert json.loads(other.read_text(encoding="utf-8"))["areas"][0]["facts"][-1]["value"] == "yes"


def test_an_unsound_answer_is_refused_and_nothing_is_written(path, opened):
    with opened(path) as store, pytest.raises(InvalidInput):
        store.put(fact("storey", "nowhere"), "asked")
    assert path.read_text(encoding="utf-8") == TEXT
    assert not journal_path(path).exists()


def test_a_second_session_is_told_who_has_the_case(path, opened):
    with opened(path), pytest.raises(Busy, match="inspector, process"):
        opened(path)
    with opened(path):
        pass
    assert not path.with_name("small.yaml.lock").exists()


def test_a_lock_left_by_a_dead_session_does_not_keep_anyone_out(path, opened):
    path.with_name("small.yaml.lock").write_text("somebody, process 1 on elsewhere", encoding="utf-8")
    with opened(path):
        pass


FAULTS = ("open journal", "fsync journal", "make temporary", "fsync case", "replace")


def break_at(monkeypatch, step):
    """Let one step of saving fail as on a full disk."""
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    true_fsync, count = os.fsync, [0]

    def fsync(handle):
        count[0] += 1
        if count[0] == (1 if step == "fsync journal" else 2):
            raise full
        true_fsync(handle)

    def fail(*arguments, **named):
        raise full

    if step.startswith("fsync"):
        monkeypatch.setattr(os, "fsync", fsync)
    elif step == "replace":
        monkeypatch.setattr(saving_module.os, "replace", fail)
    elif step == "make temporary":
        monkeypatch.setattr(tempfile, "mkstemp", fail)
    else:
        monkeypatch.setattr("engine.case.store.append", fail)


@pytest.mark.parametrize("step", FAULTS)
def test_a_fault_at_any_step_of_saving_loses_nothing_and_leaves_no_half_file(path, opened, rulebook, monkeypatch, step):
    with opened(path) as store:
        store.put(fact("tide-line-seen", "yes"), "asked")
        with monkeypatch.context() as broken:
            break_at(broken, step)
            with pytest.raises(NotSaved) as lost:
                store.put(fact("salt-bloom-seen", "no"), "asked")
        assert lost.value.change.items[0]["attribute"] == "salt-bloom-seen"
        assert dict(values(path, rulebook))["tide-line-seen"] == "yes"
    with opened(path) as store:
        if "salt-bloom-seen" not in dict(values(path, rulebook)):
            store.put(fact("salt-bloom-seen", "no"), "asked")
    found = values(path, rulebook)
    assert found == [("storey", "ground-floor"), ("tide-line-seen", "yes"), ("salt-bloom-seen", "no")]
    assert not [file for file in path.parent.iterdir() if file.suffix == ".part"]


def test_an_answer_that_only_reached_the_journal_is_made_good_once(path, opened, rulebook, monkeypatch):
    with opened(path) as store, monkeypatch.context() as broken:
        break_at(broken, "replace")
        with pytest.raises(NotSaved):
            store.put(fact("tide-line-seen", "yes"), "asked")
    for _ in range(2):
        with opened(path) as store:
            assert values(path, rulebook) == [("storey", "ground-floor"), ("tide-line-seen", "yes")]
    with opened(path) as store:
        assert store.remarks == []


def test_a_journal_line_that_was_cut_off_counts_for_nothing_and_spoils_no_other(path, opened, rulebook):
    with opened(path) as store:
        store.put(fact("tide-line-seen", "yes"), "asked")
    journal_path(path).write_bytes(journal_path(path).read_bytes() + b'{"time": "2026-01-16T10:0')
    with opened(path) as store:
        store.put(fact("salt-bloom-seen", "no"), "asked")
    assert [line.attribute for line in entries(path)] == ["tide-line-seen", "salt-bloom-seen"]


def test_a_case_edited_by_hand_since_then_counts_as_it_is(path, opened, rulebook):
    with opened(path) as store:
        store.put(fact("tide-line-seen", "yes"), "asked")
    path.write_text(path.read_text(encoding="utf-8").replace("tide-line-seen, value: yes", "tide-line-seen, value: no"))
    with opened(path) as store:
        assert any("outside a session" in remark for remark in store.remarks)
    assert dict(values(path, rulebook))["tide-line-seen"] == "no"


def test_a_folder_that_cannot_be_written_to_is_said_at_once(path, opened, monkeypatch):
    def read_only(name, mode="r", *rest, **options):
        if set(mode) & set("wax+"):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(name))
        return open(name, mode, *rest, **options)

    monkeypatch.setattr("engine.case.locking.open", read_only, raising=False)
    before = path.read_bytes()
    with pytest.raises(OSError, match="Read-only file system"):
        opened(path)
    assert path.read_bytes() == before
    assert [one.name for one in path.parent.iterdir()] == [path.name]


def test_what_is_put_off_is_noted_in_the_journal_and_is_no_change_of_the_case(path, opened):
    before = path.read_bytes()
    with opened(path) as store:
        store.put_off("room", ["tide-line-seen", "age-band"])
        store.put_off("room", ["tide-line-seen"])
        store.put_off("hall", [])
    assert put_off(path, "room") == {"tide-line-seen"}
    assert not put_off(path, "hall")
    assert path.read_bytes() == before
    assert entries(path) == ()
    with opened(path) as store:
        assert store.remarks == []
        store.put(fact("tide-line-seen", "yes"), "asked")
        store.put_off("room", [])
    with opened(path) as store:
        assert store.remarks == []
