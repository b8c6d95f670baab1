"""The record of practice: what is on the disk stays there, whoever is killed; no other file is taken for a record."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from engine.errors import InvalidInput
from engine.practising.asking import Request
from engine.practising.exercise import Source
from engine.practising.exporting import COLUMNS, record_csv, record_json
from engine.practising.progress import progress
from engine.practising.record import FILE, GoneOn, Record
from engine.practising.session import Changed, Practice

ROOT = Path(__file__).resolve().parents[3]
WRITER = """
import sys
from pathlib import Path
from engine.practising.exercise import Source
from engine.practising.record import Record
record = Record(Path(sys.argv[1]))
begun = record.begin(Source("casebook", "raised-path"), "back-room", "A house", invented=True, case_digest="0" * 64)
print("begun", flush=True)
for number in range(1, 100_000):
    record.add(begun.number, number, "asked", f"thing {number}", {"pieces": []})
    print(number, flush=True)
"""


@pytest.fixture
def record(tmp_path, trainees):
    with Record(tmp_path, trainees.clock) as opened:
        yield opened


def begun(record, name="raised-path"):
    return record.begin(Source("casebook", name), "back-room", "A house", invented=True, case_digest="0" * 64)


@pytest.mark.skipif(os.name == "nt", reason="no SIGKILL there")
@pytest.mark.parametrize("after", [0, 1, 7, 40])
def test_whoever_is_killed_keeps_every_entry_that_was_acknowledged(after, tmp_path):
    """The writer is killed at once after it said that an entry is kept, in the midst of writing the next."""
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(tmp_path)], stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert writer.stdout.readline() == "begun\n"
    for number in range(1, after + 1):
        assert writer.stdout.readline() == f"{number}\n"
    writer.send_signal(signal.SIGKILL)
    rest = writer.stdout.read().split()
    writer.stdout.close()
    assert writer.wait() == -signal.SIGKILL
    acknowledged = int(rest[-1]) if rest else after
    with Record(tmp_path) as record:
        kept = record.entries(1)
        assert [entry.number for entry in kept] == list(range(1, len(kept) + 1))
        assert acknowledged <= len(kept) <= acknowledged + 1
        assert [entry.said for entry in kept] == [f"thing {entry.number}" for entry in kept]
        record.add(1, len(kept) + 1, "asked", "and on", {"pieces": []})
        assert sqlite3.connect(tmp_path / FILE).execute("PRAGMA integrity_check").fetchone() == ("ok",)


@pytest.mark.skipif(os.name == "nt", reason="no SIGKILL there")
@pytest.mark.parametrize("delay", [0.0, 0.2, 0.25, 0.3, 0.35, 0.4])
def test_a_record_whose_first_writer_was_killed_while_it_was_made_is_made_anew(delay, tmp_path):
    writer = subprocess.Popen([sys.executable, "-c", WRITER, str(tmp_path)], stdout=subprocess.PIPE, cwd=ROOT)
    time.sleep(delay)
    writer.send_signal(signal.SIGKILL)
    writer.communicate()
    with Record(tmp_path) as record:
        before = len(record.exercises())
        begun(record)
        assert len(record.exercises()) == before + 1


def test_an_exercise_goes_on_where_it_was_left(tmp_path, trainees, rulebook, reasoner):
    one = trainees.worked("raised-path", rulebook)
    first = trainees.Trainee(one, reasoner, tmp_path)
    first.ask("tide-line-seen", "storey")
    first.practice.view({"ground-rise": 0.6}, "ground-rise 60")
    first.record.__exit__()
    with Record(tmp_path, trainees.clock) as record:
        again = Practice(record, one, rulebook, record.exercises()[-1])
        assert again.seen == first.practice.seen
        assert again.spent == first.practice.spent
        assert [entry.kind for entry in again.entries] == ["asked", "asked", "view"]
        assert again.wanting == "causes"
        again.conclude("causes", "", {"ground-rise": 0.6})
        assert (again.wanting, again.concluding, again.concluded) == ("timber", True, False)


def test_two_sessions_on_one_exercise_do_not_write_over_each_other(tmp_path, trainees, rulebook, reasoner):
    one = trainees.worked("raised-path", rulebook)
    first = trainees.Trainee(one, reasoner, tmp_path)
    with Record(tmp_path, trainees.clock) as record:
        second = Practice(record, one, rulebook, record.exercises()[-1])
        first.ask("tide-line-seen")
        with pytest.raises(GoneOn):
            second.ask(Request("question", "storey"), "storey")
        assert [entry.said for entry in record.entries(1)] == ["tide-line-seen"]


def test_a_case_that_is_no_longer_what_it_was_is_not_gone_on_with(record, trainees, rulebook):
    one = trainees.worked("raised-path", rulebook)
    with pytest.raises(Changed):
        Practice(record, one, rulebook, begun(record))


def test_a_concluded_exercise_takes_nothing_more(record):
    number = begun(record).number
    record.add(number, 1, "causes", "", {"value": {}})
    record.conclude(number)
    with pytest.raises(GoneOn):
        record.add(number, 2, "asked", "", {"pieces": []})


def test_a_review_is_kept_once(record):
    number = begun(record).number
    review = {"verdict": "right", "brier": 0.01, "truth": ["bridged-dpc"], "safety": {"missed": []}}
    record.keep_review(number, review, {"bridged-dpc": (0.9, True, True)}, ["ground-moisture"])
    record.keep_review(number, {**review, "verdict": "wrong"}, {"ground-rise": (0.9, False, True)}, ["rain"])
    assert record.exercise(number).review["verdict"] == "right"
    assert [item.cause for item in record.forecasts()] == ["bridged-dpc"]
    found = progress(record)
    assert [(one.topic, one.exercises, one.right) for one in found.topics] == [("ground-moisture", 1, 1)]
    assert found.calibration.mean_stated == pytest.approx(0.9)


def test_progress_counts_what_was_stated_against_what_came_true(record):
    """Four causes named, and a true one that was not, which the score counts as given nothing."""
    for stated, came in ((0.9, True), (0.9, False), (0.7, True), (0.1, False)):
        number = begun(record).number
        review = {"verdict": "right" if came else "wrong", "brier": (stated - came) ** 2}
        missed = {"rain-through-wall": (0.0, True, False)} if stated == 0.1 else {}
        record.keep_review(number, review, {"ground-rise": (stated, came, True), **missed}, ["ground-moisture"])
    found = progress(record).calibration
    assert (found.forecasts, found.missed) == (5, 1)
    assert found.over_sure == pytest.approx((0.9 + 0.9 + 0.7 + 0.1) / 4 - 0.5)
    assert found.parts.brier == pytest.approx((0.01 + 0.81 + 0.09 + 0.01 + 1.0) / 5)
    assert [(row.low, row.count) for row in found.table] == [(0.0, 2), (0.6, 1), (0.8, 2)]


@pytest.mark.parametrize("content", [b"not a database at all" * 100, b"SQLite format 3\x00" + b"\x00" * 2000])
def test_a_file_that_is_no_record_is_left_alone_and_named(content, tmp_path):
    (tmp_path / FILE).write_bytes(content)
    with pytest.raises(InvalidInput, match="no practice record"):
        Record(tmp_path)
    assert (tmp_path / FILE).read_bytes() == content


def test_a_record_of_a_newer_program_is_left_alone(tmp_path):
    Record(tmp_path).__exit__()
    rows = sqlite3.connect(tmp_path / FILE)
    rows.execute("PRAGMA user_version = 7")
    rows.close()
    with pytest.raises(InvalidInput, match="format 7"):
        Record(tmp_path)


def test_an_export_holds_everything_and_no_cell_of_it_is_a_formula(record):
    for name in ("=HYPERLINK(1)", "+1", "-2", "@x", "\tx", "plain"):
        one = record.begin(Source("file", name), name, name, invented=True, case_digest="0" * 64)
        record.add(one.number, 1, "asked", name, {"pieces": [], "title": name, "lines": []})
    rows = list(csv.reader(io.StringIO(record_csv(record))))
    assert tuple(rows[0]) == COLUMNS
    assert len(rows) == 7
    assert not [cell for row in rows[1:] for cell in row if cell[:1] in ("=", "+", "@", "\t", "\r")]
    assert not [row for row in rows[1:] for cell in (row[4], row[5], row[6]) if cell.startswith("-")]
    data = json.loads(record_json(record))
    assert data["exercises"][0]["source"]["name"] == "=HYPERLINK(1)"
    assert data["exercises"][0]["entries"][0]["said"] == "=HYPERLINK(1)"


def test_deleting_leaves_nothing_of_it(tmp_path):
    record = Record(tmp_path)
    begun(record)
    record.delete()
    assert not list(tmp_path.iterdir())
