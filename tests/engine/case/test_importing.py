"""Readings from tables: what is taken, what is refused with its row, and that a case gets all of them or none."""

from __future__ import annotations

import contextlib
import copy
import math
import zipfile
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.case.columns import recognised
from engine.case.importing import import_readings
from engine.case.numerals import NotANumber, Numerals
from engine.case.tables import read_table
from engine.documents import read_document
from engine.errors import InvalidInput

CASE = """\
format: 1
id: made-up
title: Made up
dwelling: {title: House}
visits:
  - id: first
    on: 2026-01-10
    instruments:
      - {id: pins, mode: pins, scale: wood-percent}
      - {id: plate, mode: capacitance, scale: relative, full_scale: 1000}
      - {id: spare-plate, mode: capacitance, scale: relative, full_scale: 100}
      - {id: air, mode: hygrometer, scale: relative-humidity}
areas:
  - id: room
    title: Room
    surfaces:
      - id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: lime-plaster
        readings:
          - {x_mm: 100, y_mm: 100, instrument: pins, value: 14}
      - id: floor-wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
        features: [{id: floor, kind: floor-line, shape: line, x_mm: 0, y_mm: 200, to_x_mm: 4000, to_y_mm: 200}]
"""
HEADER = "x_mm,y_mm,instrument,value"


@pytest.fixture
def bring(tmp_path):
    """Import a table given as text, bytes or a path; into the wall unless another surface is named."""
    case = tmp_path / "case.yaml"
    case.write_text(CASE, encoding="utf-8")

    def imported(table, surface="wall", name="readings.csv", ignored=(), sheet=None, visit=None):
        path = table if isinstance(table, Path) else tmp_path / name
        if not isinstance(table, Path):
            path.write_bytes(table if isinstance(table, bytes) else table.encode("utf-8"))
        document = read_document(case)
        before = copy.deepcopy(document.data)
        try:
            return import_readings(
                document,
                read_table(path, recognised, sheet=sheet),
                surface=surface,
                ignored=ignored,
                visit=visit,
            )
        finally:
            assert document.data == before

    return imported


def faults(bring, table, **how):
    with pytest.raises(InvalidInput) as refusal:
        bring(table, **how)
    return refusal.value.problems


def workbook(tmp_path, *rows, name="readings.xlsx", sheets=("Sheet",)):
    book = openpyxl.Workbook()
    book.active.title = sheets[0]
    for other in sheets[1:]:
        book.create_sheet(other)
    for row in rows:
        book.active.append(row)
    path = tmp_path / name
    book.save(path)
    return path


def test_readings_are_added_after_those_of_the_case(bring):
    done = bring(f"{HEADER},note\n500,300,pins,18.5,beside the door\n500,900,plate,240,\n")
    assert [dict(one) for one in done.readings] == [
        {"x_mm": 500, "y_mm": 300, "instrument": "pins", "value": 18.5, "note": "beside the door"},
        {"x_mm": 500, "y_mm": 900, "instrument": "plate", "value": 240},
    ]
    held = done.case.areas[0].surfaces[0].readings
    assert [(one.instrument, one.value) for one in held] == [("pins", 14), ("pins", 18.5), ("plate", 240)]
    assert [(span.instrument.id, span.places, span.lowest, span.highest) for span in done.instruments] == [
        ("pins", 1, 18.5, 18.5),
        ("plate", 1, 240, 240),
    ]
    assert done.lines == (2, 3)


@pytest.mark.parametrize(
    "header",
    [
        "x,y,instrument,value",
        "X (mm);Y [mm];Instrument;Value",
        "x mm\ty-mm\tINSTRUMENT\tReading",
        "﻿X_MM;Height mm;method;value",
        "sep=;\r\nx_mm;y_mm;instrument;value",
    ],
)
def test_headers_and_separators_are_taken_in_their_usual_spellings(bring, header):
    separator = next(mark for mark in "\t;," if mark in header.splitlines()[-1])
    done = bring(f"{header}\r\n{separator.join(('500', '300', 'pins', '18.5'))}\r\n")
    assert dict(done.readings[0]) == {"x_mm": 500, "y_mm": 300, "instrument": "pins", "value": 18.5}


def test_a_decimal_comma_is_read_where_it_can_be_nothing_else(bring):
    done = bring("x;y;instrument;value;repeats\n500;300;pins;18,5;18,4 18,625\n")
    assert done.decimal_mark == ","
    assert done.readings[0]["value"] == 18.5
    assert done.readings[0]["repeats"] == [18.4, 18.625]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("1,250;300;pins;18", "could be 1250 or 1.250"),
        ("1.250;300;pins;18", "could be 1250 or 1.250"),
        ("500;300;pins;18,5\n600;300;pins;18.5", "both decimal points and decimal commas"),
        ("1.250;300;pins;18,5", "in a file of decimal commas"),
        ("1.250,5;300;pins;18", "without a mark between thousands"),
        ("1 250;300;pins;18", "without a mark between thousands"),
    ],
)
def test_a_number_that_could_be_two_is_never_guessed(bring, rows, said):
    assert any(said in fault.sentence() for fault in faults(bring, f"x;y;instrument;value\n{rows}\n"))


def test_a_bare_decimal_comma_between_commas_is_refused(bring):
    assert "decimal comma" in faults(bring, f"{HEADER}\n500,300,pins,18,5\n")[0].advice
    shifted = faults(bring, f"{HEADER},note\n500,300,pins,18,5\n")[0]
    assert "a note that is a number" in shifted.found


def test_a_quoted_decimal_comma_between_commas_is_read_unless_points_stand_beside_it(bring):
    assert bring(f'{HEADER}\n500,300,pins,"18,5"\n').readings[0]["value"] == 18.5
    assert "decimal points" in faults(bring, f'{HEADER}\n500,300,pins,"1,250"\n')[0].found
    done = faults(bring, f'{HEADER}\n500,300,pins,"18,5"\n600,300,pins,18.5\n')
    assert {fault.line for fault in done} == {2, 3}


def test_every_faulty_row_is_told_at_once_with_its_line(bring):
    done = faults(
        bring,
        f"{HEADER},scale,depth_mm\n"
        "500,300,pins,wet,%,\n"
        "500,,pins,18,%,\n"
        "500,400,pinns,18,%,\n"
        "9000,400,pins,18,%,\n"
        "500,500,pins,180,%,\n"
        "500,600,plate,180,%,\n"
        "500,700,pins,,%,\n"
        "500,800,pins,18,percent,\n"
        "500,900,pins,18,%,-4\n",
    )
    assert [(fault.line, fault.field) for fault in done] == [
        (2, "value"),
        (3, "y_mm"),
        (4, "instrument"),
        (5, "x_mm"),
        (6, "value"),
        (7, "scale"),
        (8, "value"),
        (9, "scale"),
        (10, "depth_mm"),
    ]
    assert done[2].nearest == "pins"
    assert "outside the surface" in done[3].found
    assert "above the top of the scale" in done[4].found


def test_an_unknown_column_is_a_fault_with_the_nearest_name_unless_it_is_ignored(bring):
    table = f"{HEADER},materal,Quarter\n500,300,pins,18,brick,7\n"
    done = faults(bring, table)
    assert {(fault.field, fault.nearest) for fault in done} >= {("materal", "material")}
    assert {fault.field for fault in done} == {"materal", "Quarter"}
    assert len(bring(table, ignored=("quarter", "Materal")).readings) == 1
    assert "to ignore" in faults(bring, f"{HEADER}\n500,300,pins,18\n", ignored=("pnt",))[0].found


@pytest.mark.parametrize(
    ("header", "said"),
    [
        ("x_mm,y_mm,value", "no column instrument or mode"),
        ("x_mm,instrument,value", "no column y_mm or height_mm"),
        ("x_mm,x,y_mm,instrument,value", "a second column for x_mm"),
        ("x_mm,y_mm,,instrument,value", "a column without a name"),
        ("a,b;c", "a first row that reads"),
    ],
)
def test_headers_that_do_not_say_enough_are_refused(bring, header, said):
    row = ",".join(["1"] * (header.count(",") + 1))
    assert said in faults(bring, f"{header}\n{row}\n")[0].found


CONVENTION = "point,x,y,height_mm,depth_mm,method,scale,value,unit,material,time"


def test_a_table_with_every_column_of_the_convention_is_taken_whole(bring):
    rows = (
        "A1,500,300,300,,pins,wood-percent,18.5,%,lime-plaster,10:40\nA2,500,,450,,pins,,17,%WME,,2026-01-10T10:42:30"
    )
    imported = bring(f"{CONVENTION}\n{rows.replace('%WME', 'WME')}\n")
    assert imported.readings[0] == {
        "x_mm": 500,
        "y_mm": 300,
        "instrument": "pins",
        "value": 18.5,
        "material": "lime-plaster",
        "note": "point A1; at 10:40",
    }
    assert imported.readings[1] == {
        "x_mm": 500,
        "y_mm": 450,
        "instrument": "pins",
        "value": 17,
        "note": "point A2; at 10:42:30",
    }


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("A1,500,300,450,,pins,,18,,,", "y 300 and height 450"),
        ("A1,500,300,300,,pins,wood-percent,18,relative,,", "'relative' on the scale wood-percent"),
        ("A1,500,300,300,,pins,,18,,,2026-01-11T10:40", "2026-01-10, the day of the visit first"),
        ("A1,500,300,300,,pins,,18,,,after lunch", "a time such as 10:40"),
        ("A1,500,300,300,,pins,,18,,,25:61", "a time such as 10:40"),
    ],
)
def test_columns_that_contradict_each_other_or_the_visit_are_refused(bring, row, said):
    with pytest.raises(InvalidInput) as caught:
        bring(f"{CONVENTION}\n{row}\n")
    assert said in str(caught.value)


def test_a_mode_stands_for_the_only_instrument_of_that_mode(bring):
    assert bring("x,y,mode,value\n500,300,Pins,18\n").readings[0]["instrument"] == "pins"
    several = faults(bring, "x,y,mode,value\n500,300,capacitance,180\n")[0]
    assert "several instruments" in several.found
    assert "spare-plate" in several.allowed
    both = faults(bring, "x,y,instrument,mode,value\n500,300,plate,pins,180\n")[0]
    assert "the instrument plate with the mode of pins" in both.found


def test_a_reading_with_an_instrument_for_air_is_refused(bring):
    assert "whose mode is hygrometer" in faults(bring, f"{HEADER}\n500,300,air,60\n")[0].found


def test_mixed_scales_in_one_instrument_are_refused_with_both_rows(bring):
    done = faults(bring, f"{HEADER},unit\n500,300,pins,18,%\n500,600,pins,180,relative\n")
    assert [fault.line for fault in done if fault.field == "scale"] == [3]
    assert "line 2 gives as wood-percent" in done[0].found


def test_two_scales_of_one_mode_in_one_profile_are_refused(bring):
    done = faults(bring, f"{HEADER}\n500,300,plate,180\n500,600,spare-plate,18\n")
    assert [(fault.line, fault.field) for fault in done] == [(3, "instrument")]


def test_a_place_is_pressed_once_in_the_table_and_in_the_case(bring):
    done = faults(bring, f"{HEADER}\n100,100,pins,15\n500,300,pins,18\n500,300,pins,19\n")
    assert [fault.line for fault in done] == [2, 4]
    assert "of " in done[0].found
    assert "the first is on line 3" in done[1].found


def test_metres_are_noticed(bring):
    done = faults(bring, f"{HEADER}\n0.5,0.3,pins,18\n1.5,0.6,pins,15\n")
    assert {fault.field for fault in done} == {"x_mm", "y_mm"}
    assert all(fault.advice == "are they in metres?" for fault in done)


def test_heights_above_a_floor_line_must_be_given_from_the_edge(bring):
    row = "500,300,pins,18\n"
    assert "floor line" in faults(bring, f"x,height,instrument,value\n{row}", surface="floor-wall")[0].found
    assert bring(f"x,y,instrument,value\n{row}", surface="floor-wall").readings[0]["y_mm"] == 300
    both = "x,y,height,instrument,value\n500,300,300,pins,18\n"
    assert bring(both, surface="floor-wall").readings[0]["y_mm"] == 300
    assert "floor line" in faults(bring, f"{both}500,,600,pins,18\n", surface="floor-wall")[0].found


def test_a_material_close_to_a_known_one_is_a_slip_and_another_is_remarked_on(bring):
    slip = faults(bring, f"{HEADER},material\n500,300,pins,18,lime plastr\n")[0]
    assert slip.nearest == "lime-plaster"
    other = bring(f"{HEADER},material\n500,300,pins,18,Stone\n")
    assert other.readings[0]["material"] == "stone"
    assert "stone" in other.remarks[0]


def test_formulas_and_markup_are_data(bring):
    done = bring(f'{HEADER},note\n500,300,pins,18,"=HYPERLINK(""x"") [red]<b>"\n')
    assert done.readings[0]["note"] == '=HYPERLINK("x") [red]<b>'
    assert "'=9+9'" in faults(bring, f"{HEADER}\n500,300,pins,=9+9\n")[0].found


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (f"{HEADER},note\n500,300,pins,18,caf\xe9\n".encode("cp1252"), "UTF-8"),
        ("x_mm,y_mm".encode("utf-16"), "UTF-16"),
        (b"", "an empty file"),
        (b"\n\n", "an empty file"),
        (HEADER.encode(), "a header without rows"),
        (f'{HEADER}\n500,300,pins,"18\n'.encode(), "cannot be read"),
        (f"{HEADER}\n500,300,pins,18\x00\n".encode(), "U+0000"),
        (f"{HEADER}\n500,300,pins,{'9' * 400}\n".encode(), "999"),
        (f"{HEADER}\n500,300,pins,nan\n".encode(), "'nan'"),
        (b"PK\x03\x04", "U+0003"),
        (b"x_mm,y_mm,instrument,value\n" + b"500,300,pins,18\n" * 20_001, "more than 20,000 rows"),
        (b"x" * (5 * 1024 * 1024), "more than 4,194,304 bytes"),
    ],
)
def test_files_that_are_no_table_are_refused(bring, content, said):
    assert said in faults(bring, content)[0].sentence()


def test_a_file_of_another_kind_or_none_is_refused(bring, tmp_path):
    assert ".xlsx" in faults(bring, "x", name="readings.ods")[0].allowed
    assert "no such file" in faults(bring, tmp_path / "none.csv")[0].found
    assert "cannot be opened" in faults(bring, tmp_path / "none.xlsx")[0].found


def test_an_unknown_surface_or_visit_gets_the_nearest_name(bring):
    table = f"{HEADER}\n500,300,pins,18\n"
    assert faults(bring, table, surface="wal")[0].nearest == "wall"
    assert faults(bring, table, visit="frist")[0].nearest == "first"
    assert "though there are several" in faults(bring, table, surface=None)[0].found


def test_a_named_visit_is_written_with_each_reading(bring):
    table = f"{HEADER}\n500,300,pins,18\n"
    assert bring(table, visit="first").readings[0]["visit"] == "first"
    assert "visit" not in bring(table).readings[0]


def test_a_workbook_is_read_by_its_stored_values(bring, tmp_path):
    path = workbook(tmp_path, ["x", "y", "mode", "value", "repeats", "note"], [500, 300, "pins", 18.5, "18 19", 7])
    done = bring(path)
    assert done.table.sheet == "Sheet"
    assert dict(done.readings[0]) == {
        "x_mm": 500,
        "y_mm": 300,
        "instrument": "pins",
        "value": 18.5,
        "repeats": [18, 19],
        "note": "7",
    }


def test_cells_that_hold_neither_text_nor_number_are_faults_with_their_row(bring, tmp_path):
    path = workbook(
        tmp_path,
        ["x", "y", "mode", "value"],
        [500, 300, "pins", "=9+9"],
        [500, 400, "pins", date(2026, 5, 1)],
        [500, 500, "pins", True],
        [500, 600, "pins", 0.18],
        [500, 700, "pins", "#DIV/0!"],
    )
    book = openpyxl.load_workbook(path)
    book.active["D5"].number_format = "0%"
    book.save(path)
    done = faults(bring, path)
    assert [fault.line for fault in done] == [2, 3, 4, 5, 6]
    for fault, said in zip(done, ("formula without a stored", "date", "true", "percent format", "error"), strict=True):
        assert said in fault.found


def test_a_formula_with_a_stored_value_is_taken_and_remarked_on(bring, tmp_path):
    path = workbook(tmp_path, ["x", "y", "mode", "value"], [500, 300, "pins", "=9+9"])
    changed = tmp_path / "stored.xlsx"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(changed, "w") as new:
        for part in old.namelist():
            new.writestr(part, old.read(part).replace(b"<v></v>", b"<v>18</v>").replace(b"<v />", b"<v>18</v>"))
    done = bring(changed)
    assert done.readings[0]["value"] == 18
    assert "formulas" in done.remarks[0]


def test_text_that_looks_like_a_formula_stays_text(bring, tmp_path):
    path = workbook(tmp_path, ["x", "y", "mode", "value", "note"], [500, 300, "pins", 18, "x"])
    book = openpyxl.load_workbook(path)
    book.active["E2"].value, book.active["E2"].data_type = "=1+1", "s"
    book.save(path)
    assert bring(path).readings[0]["note"] == "=1+1"


def test_of_several_sheets_one_must_be_named(bring, tmp_path):
    rows = (["x", "y", "mode", "value"], [500, 300, "pins", 18])
    path = workbook(tmp_path, *rows, sheets=("North wall", "Photographs"))
    assert "several sheets" in faults(bring, path)[0].found
    assert faults(bring, path, sheet="North wal")[0].nearest == "North wall"
    assert len(bring(path, sheet="North wall").readings) == 1


def altered(path, part, change, name="altered.xlsx"):
    target = path.with_name(name)
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for one in old.namelist():
            new.writestr(one, change(old.read(one)) if one == part else old.read(one))
    return target


SHEET = "xl/worksheets/sheet1.xml"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda xml: xml + b" " * (40 * 1024 * 1024), "would unpack to more"),
        (lambda xml: b'<!DOCTYPE a [<!ENTITY b "c">]>' + xml, "declares entities"),
        (lambda xml: xml.replace(b'<row r="2"', b'<row r="999999999999"'), "rows beyond"),
        (lambda xml: xml.replace(b'r="D2"', b'r="ZZZ2"'), "far to the right"),
        (lambda xml: xml[: len(xml) // 2], "cannot be read"),
        (lambda xml: b"", "cannot be read"),
    ],
)
def test_workbooks_made_to_exhaust_or_to_mislead_are_refused(bring, tmp_path, change, said):
    path = workbook(tmp_path, ["x", "y", "mode", "value"], [500, 300, "pins", 18])
    assert said in faults(bring, altered(path, SHEET, change))[0].found


def test_what_only_bears_the_name_of_a_workbook_is_refused(bring, tmp_path):
    for name, content in (("a.xlsx", b"x,y\n"), ("b.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1"), ("c.xlsx", b"PK\x03\x04")):
        (tmp_path / name).write_bytes(content)
        assert "workbook" in faults(bring, tmp_path / name)[0].found


def attempt(document, path, content):
    path.write_bytes(content)
    try:
        return import_readings(document, read_table(path, recognised), surface="wall")
    except InvalidInput:
        return None


@settings(max_examples=150)
@given(content=st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
def test_any_bytes_are_read_or_refused_and_nothing_else(tmp_path_factory, content):
    document = read_document(Path("case.yaml"), text=CASE)
    folder = tmp_path_factory.mktemp("bytes", numbered=True)
    for name in ("any.csv", "any.xlsx"):
        attempt(document, folder / name, content)


FIELDS = st.text(st.sampled_from("0123456789.,;-+\"'= \tpinsx%é[\n\r"), max_size=8)


@settings(max_examples=150)
@given(
    separator=st.sampled_from(",;\t"),
    rows=st.lists(st.tuples(*[FIELDS | st.sampled_from(["pins", "300", "18", "18.5"])] * 5), min_size=1, max_size=4),
)
def test_any_rows_under_a_sound_header_give_a_sound_case_or_faults_of_the_table(tmp_path_factory, separator, rows):
    document = read_document(Path("case.yaml"), text=CASE)
    path = tmp_path_factory.mktemp("rows", numbered=True) / "any.csv"
    text = "\n".join(separator.join(row) for row in [("x_mm", "y_mm", "instrument", "value", "note"), *rows])
    done = attempt(document, path, text.encode("utf-8"))
    if done is not None:
        assert len(done.case.areas[0].surfaces[0].readings) == 1 + len(done.readings)


@given(st.lists(st.floats(0.0625, 9000).map(lambda x: round(x * 16) / 16), min_size=1), st.sampled_from(".,"))
def test_numbers_come_back_whatever_the_mark(values, mark):
    texts = [f"{value:.4f}".replace(".", mark) for value in values]
    numerals = Numerals(texts)
    assert [numerals.number(text) for text in texts] == values


@given(st.text(max_size=20))
def test_no_text_makes_numerals_fail_otherwise_than_by_saying_so(text):
    with contextlib.suppress(NotANumber):
        assert math.isfinite(Numerals([text]).number(text))
