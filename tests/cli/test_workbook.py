"""Workbooks as a user meets them: made, filled in, weighed, turned into case files, and refused where they must be."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"


def dampwright(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "cli", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        check=False,
    )


@pytest.fixture(scope="module")
def form(tmp_path_factory):
    path = tmp_path_factory.mktemp("forms") / "visit.xlsx"
    made = dampwright("case", "make", "--from", DEMO, "-o", path)
    assert made.returncode == 0, made.stderr
    assert "Left out: the key" in made.stderr
    return path


def test_a_workbook_and_the_case_file_made_from_it_are_weighed_alike_to_the_byte(form, tmp_path):
    file = tmp_path / "visit.yaml"
    assert dampwright("case", "make", "--from", form, "-o", file).returncode == 0
    from_form, from_file = dampwright("weigh", "--json", form), dampwright("weigh", "--json", file)
    assert from_form.returncode == 0, from_form.stderr
    assert from_form.stdout == from_file.stdout


def test_an_empty_form_is_made_once_and_never_overwritten(tmp_path):
    path = tmp_path / "new.xlsx"
    assert dampwright("case", "make", "-o", path).returncode == 0
    assert dampwright("case", "check", path).returncode == 0
    before = path.read_bytes()
    again = dampwright("case", "make", "-o", path)
    assert again.returncode == 1
    assert "already exists" in again.stderr
    assert path.read_bytes() == before


def test_a_fault_in_a_workbook_names_sheet_and_cell(form, tmp_path):
    path = tmp_path / "faulty.xlsx"
    book = openpyxl.load_workbook(form)
    book["Readings"]["E2"] = "pinz"
    book.save(path)
    done = dampwright("weigh", path)
    assert done.returncode == 3
    assert f"{path}:Readings!E2: Instrument: found" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_workbook_is_read_where_text_would_be_changed_and_never_written_into(form, tmp_path):
    table = tmp_path / "more.csv"
    table.write_text("x_mm,y_mm,instrument,value\n3300,75,pins,11.5\n", encoding="utf-8")
    new = tmp_path / "new.yaml"
    place = ("--surface", "garden-wall")
    done = dampwright("case", "readings", form, table, *place, "-o", new)
    assert done.returncode == 0, done.stderr
    assert "3300" in new.read_text(encoding="utf-8")
    refused = dampwright("case", "readings", form, table, *place, "--in-place")
    assert refused.returncode == 1
    assert "a workbook is not written into" in refused.stderr
    challenged = dampwright("challenge", form, "--held", "ground-rise", "--plain")
    assert challenged.returncode == 0, challenged.stderr
    blind = dampwright("challenge", form, "--held", "ground-rise", "--blind", "--sureness", "certain")
    assert blind.returncode == 1
    assert "case make --from" in blind.stderr


def test_the_list_for_a_first_visit_is_made_from_what_is_known_at_the_desk(form):
    done = dampwright("case", "make", "--desk-facts", form, "--plain")
    assert done.returncode == 0, done.stderr
    assert done.stdout.index("Bring") < done.stdout.index("Outside, from the roof") < done.stdout.index("Inside, look")
    assert "On which storey is the damp place" in done.stdout
    assert "Inside, press and measure" in done.stdout
