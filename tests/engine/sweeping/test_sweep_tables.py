"""What a sweep writes: rows, and files in which no text is a formula."""

from __future__ import annotations

import csv
import json

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.inert import encodable, inert, one_line
from engine.sweeping import sweep_line
from engine.sweeping.tables import COLUMNS, LONGEST, WRITERS, rows
from tests.caseloads import BROKEN, small_case

HOSTILE = ['=HYPERLINK("http://x","y")', "+1+1", "-2+3", "@SUM(A1)", " =1", "a;=1+1", "a, +2", "a|-1", "＝1", "'=1"]


def result(line, **more):
    return {"file": "cases.jsonl", "line": 1, "dates": {"days_since_report": 3}, **json.loads(sweep_line(line)), **more}


def cells(text):
    """The pieces that a spreadsheet would make of a text with any list separator."""
    for separator in ",;|\t":
        for row in csv.reader([text], delimiter=separator):
            yield from row


@given(st.text(st.sampled_from("=+-@＝＋－＠,;|\t\r\n '\"ab1")))
def test_no_piece_of_an_inert_text_begins_like_a_formula(text):
    for piece in cells(inert(text).replace('"', "")):
        assert not piece.lstrip().startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠"))


@given(st.text())
def test_an_inert_text_is_one_printable_line_and_loses_nothing_else(text):
    found = inert(text)
    assert len(found.splitlines()) <= 1
    assert found.replace("'", "") == one_line(text).replace("'", "")
    encodable(found).encode("utf-8")


def test_plain_text_stays_as_it_is():
    for text in ("Flat 2, 14 High Street", "damp - see note", "rain; leak", "Straße 水", "a=b", "5 °C"):
        assert inert(text) == text


def test_a_case_gives_one_row_for_each_area_and_a_broken_one_a_row_with_its_faults():
    case = small_case(1)
    case["areas"].append({**case["areas"][0], "id": "attic", "title": "Attic"})
    found = [dict(zip(COLUMNS, row, strict=True)) for row in rows(result(json.dumps(case)))]
    assert [row["area"] for row in found] == ["attic", "hall"]
    assert {row["fault"] for row in found} == {None}
    (broken,) = [dict(zip(COLUMNS, row, strict=True)) for row in rows(result(BROKEN))]
    assert "line:1: dwelling: found no such field" in broken["fault"]
    assert (broken["file"], broken["case"]) == ("cases.jsonl", None)


def test_a_very_long_text_is_cut_with_an_ellipsis():
    row = dict(zip(COLUMNS, next(rows(result(BROKEN, file="x" * 5_000))), strict=True))
    assert len(row["file"]) == LONGEST
    assert row["file"].endswith("…")


def hostile_results():
    for number, text in enumerate(HOSTILE):
        case = small_case(number, title=text.strip())
        case["dwelling"] = {"title": text.strip(), "address": text.strip()}
        case["areas"][0]["title"] = text.strip()
        yield result(json.dumps(case), file=f"{text}.yaml")
    yield result('{"=cmd|1": 1, "title": "=1"}', file="=1\ud800.yaml")


@pytest.mark.parametrize("suffix", [".csv", ".xlsx", ".jsonl"])
def test_hostile_text_is_no_formula_in_any_output(tmp_path, suffix):
    path = tmp_path / f"out{suffix}"
    writer = WRITERS[suffix](path)
    for one in hostile_results():
        writer.write(one)
    writer.close()
    if suffix == ".csv":
        assert path.read_bytes().startswith(b"\xef\xbb\xbf")
        found = list(csv.reader(path.read_text(encoding="utf-8-sig").splitlines()))
        assert found[0] == list(COLUMNS)
        assert len(found) == len(HOSTILE) + 2
        for row in found:
            assert len(row) == len(COLUMNS)
            assert not [cell for cell in row if cell.lstrip().startswith(("=", "+", "-", "@", "＝"))]
    elif suffix == ".xlsx":
        sheet = openpyxl.load_workbook(path).active
        assert sheet.max_row == len(HOSTILE) + 2
        kinds = {cell.data_type for row in sheet.iter_rows() for cell in row}
        assert "f" not in kinds
        titles = [row[1] for row in sheet.iter_rows(min_row=2, max_row=len(HOSTILE) + 1, values_only=True)]
        assert titles == [text.strip() for text in HOSTILE]
    else:
        found = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
        assert [one["case"]["title"] for one in found[:-1]] == [text.strip() for text in HOSTILE]


def test_a_workbook_that_cannot_be_saved_leaves_nothing_half_written(tmp_path, monkeypatch):
    writer = WRITERS[".xlsx"](tmp_path / "out.xlsx")
    writer.write(result(json.dumps(small_case(1))))

    def full(*args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("engine.sweeping.tables.os.replace", full)
    with pytest.raises(OSError, match="No space left"):
        writer.close()
    assert list(tmp_path.iterdir()) == []
