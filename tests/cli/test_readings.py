"""`case readings` as a user meets it: preview, faults, and where the readings go."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
TABLE = (
    "X (mm);Height mm;Mode;Value;Unit;Repeats;Note\n"
    "3300;75;pins;11,5;%;11,4 11,6;=1+1 [bold]<b>\n"
    "3300;300;Pins;11;%;;\n"
    "3300;75;Capacitance;14;relative;;\n"
)


def dampwright(*arguments, **environment):
    return subprocess.run(
        [sys.executable, "-m", "cli", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **environment},
        check=False,
    )


@pytest.fixture
def files(tmp_path):
    case, table = tmp_path / "case.yaml", tmp_path / "readings.csv"
    head, _, rest = DEMO.read_text(encoding="utf-8").partition("      - id: floor\n")
    assert rest, "the demonstration has one surface more than these readings are for"
    case.write_bytes((head + "    air:\n" + rest.partition("    air:\n")[2]).encode())
    table.write_text(TABLE, encoding="utf-8")
    return case, table, tmp_path / "new.yaml"


def added(before, after):
    old = before.read_text(encoding="utf-8").splitlines()
    new = after.read_text(encoding="utf-8").splitlines()
    assert [line for line in new if line in old] == old
    return [line.strip() for line in new if line not in old]


def test_a_preview_says_how_the_table_was_understood_and_shows_the_first_rows(files):
    case, table, _ = files
    before = case.read_bytes()
    done = dampwright("case", "readings", case, table, "--dry-run", "--plain")
    assert done.returncode == 0, done.stderr
    said = " ".join(done.stdout.split())
    for part in (
        "3 readings for surface garden-wall of area back-room, visit march",
        "semicolon between fields, decimal comma",
        "Height mm as height_mm",
        "pins (pins, wood-percent): 2 places, from 11 to 11.6",
        "plate (capacitance, relative): 1 place, from 14 to 14",
        "=1+1 [bold]<b>",
    ):
        assert part in said
    assert "nothing was written" in done.stderr
    assert case.read_bytes() == before


def test_a_new_case_has_the_readings_and_every_comment(files):
    case, table, new = files
    done = dampwright("case", "readings", case, table, "--area", "back-room", "--surface", "garden-wall", "-o", new)
    assert done.returncode == 0, done.stderr
    lines = added(case, new)
    assert len(lines) == 3
    assert lines[1] == "- {x_mm: 3300, y_mm: 300, instrument: pins, value: 11}"
    assert dampwright("case", "check", new).returncode == 0


def test_an_existing_file_is_never_overwritten(files):
    case, table, new = files
    new.write_text("mine", encoding="utf-8")
    done = dampwright("case", "readings", case, table, "-o", new)
    assert done.returncode == 1
    assert "already exists" in done.stderr
    assert new.read_text(encoding="utf-8") == "mine"


def test_in_place_adds_lines_once_and_a_second_time_is_refused(files):
    case, table, before = files
    before.write_bytes(case.read_bytes())
    assert dampwright("case", "readings", case, table, "--in-place").returncode == 0
    assert len(added(before, case)) == 3
    before.unlink()
    once = case.read_bytes()
    again = dampwright("case", "readings", case, table, "--in-place")
    assert again.returncode == 3
    assert again.stderr.count("a second reading at the same place") == 3
    assert case.read_bytes() == once
    assert sorted(one.name for one in case.parent.iterdir()) == ["case.yaml", "readings.csv"]


def test_in_place_is_refused_where_comments_would_be_lost(tmp_path):
    case, table = tmp_path / "case.yaml", tmp_path / "readings.csv"
    case.write_text(
        "format: 1  # mine\nid: c\ntitle: C\ndwelling: {title: House}\n"
        "visits: [{id: v, on: 2026-01-10, instruments: [{id: pins, mode: pins, scale: wood-percent}]}]\n"
        "areas: [{id: a, title: A, surfaces: "
        "[{id: s, kind: wall, width_mm: 4000, height_mm: 2400, material: brick}]}]\n",
        encoding="utf-8",
    )
    table.write_text("x_mm,y_mm,instrument,value\n100,100,pins,14\n", encoding="utf-8")
    before = case.read_bytes()
    done = dampwright("case", "readings", case, table, "--in-place")
    assert done.returncode == 1
    assert "comments" in done.stderr
    assert "-o OUT" in done.stderr
    assert case.read_bytes() == before
    new = tmp_path / "new.yaml"
    done = dampwright("case", "readings", case, table, "-o", new)
    assert done.returncode == 0
    assert "comments in it were not taken over" in done.stderr
    assert dampwright("case", "check", new).returncode == 0


def test_faults_are_told_with_their_rows_and_nothing_is_written(files):
    case, table, new = files
    table.write_text(TABLE + "99999;75;pins;11;%;;\n3300;80;pins;wet;%;;\n", encoding="utf-8")
    done = dampwright("case", "readings", case, table, "-o", new)
    assert done.returncode == 3
    assert done.stdout == ""
    assert "readings.csv:5: x_mm: found 99999 mm, outside the surface" in done.stderr
    assert "readings.csv:6: Value: found 'wet'" in done.stderr
    assert "2 faults; nothing was done." in done.stderr
    assert not new.exists()


def test_without_a_place_to_write_to_it_says_what_to_add_and_asks_nothing(files):
    case, table, _ = files
    done = dampwright("case", "readings", case, table)
    assert done.returncode == 2
    assert "--dry-run" in done.stderr
    assert dampwright("case", "readings", case, table, "--in-place", "-o", "x.yaml").returncode == 2


def test_the_new_case_can_be_printed_with_the_preview_set_aside(files):
    case, table, new = files
    done = dampwright("case", "readings", case, table, "-o", "-")
    assert done.stdout.startswith("# An invented house")
    assert "3 readings for" in done.stderr
    new.write_text(done.stdout, encoding="utf-8")
    assert len(added(case, new)) == 3


def test_a_workbook_comes_in_by_its_named_sheet(files):
    case, _, new = files
    book = openpyxl.Workbook()
    sheet = book.create_sheet("Garden wall")
    sheet.append(["x_mm", "y_mm", "instrument", "value", "photo"])
    sheet.append([3300, 75, "pins", 11.5, "12.jpg"])
    path = case.parent / "readings.xlsx"
    book.save(path)
    unnamed = dampwright("case", "readings", case, path, "-o", new)
    assert unnamed.returncode == 3
    assert "Garden wall" in unnamed.stderr
    done = dampwright("case", "readings", case, path, "--sheet", "Garden wall", "--ignore", "photo", "-o", new)
    assert done.returncode == 0, done.stderr
    assert added(case, new) == ["- {x_mm: 3300, y_mm: 75, instrument: pins, value: 11.5}"]


def test_a_file_that_is_not_utf_8_gets_advice_and_no_traceback(files):
    case, table, new = files
    table.write_bytes(TABLE.replace("bold", "café").encode("cp1252"))
    done = dampwright("case", "readings", case, table, "-o", new)
    assert done.returncode == 3
    assert "save the file again with the encoding UTF-8" in done.stderr
    assert "Traceback" not in done.stderr


def test_help_has_an_example():
    assert "Example: dampwright case readings" in dampwright("case", "readings", "--help").stdout
