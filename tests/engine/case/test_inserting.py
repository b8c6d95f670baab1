"""Readings written into a case's text: lines are only added, and what cannot be done soundly is not done."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.case.columns import recognised
from engine.case.importing import import_readings
from engine.case.inserting import rewritten, with_readings
from engine.case.reading import parse_case
from engine.case.saving import save_new, save_over
from engine.case.tables import read_table
from engine.case.writing import write_case
from engine.documents import read_document
from engine.errors import InvalidInput

TOP = """\
# A comment at the top.
format: 1
id: made-up
title: Made up
dwelling: {title: House}
visits:
  - {id: first, on: 2026-01-10, instruments: [{id: pins, mode: pins, scale: wood-percent}]}
areas:
  - id: room
    title: Room
    surfaces:
"""
WALL = "kind: wall, width_mm: 4000, height_mm: 2400, material: brick"
LAYOUTS = {
    "readings as block items": """\
      - id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
        readings:
          # the first column
          - {x_mm: 1, y_mm: 1, instrument: pins, value: 14}  # beside it
          - x_mm: 2
            y_mm: 1
            instrument: pins
            value: 14
            note: |
              two
              lines
        # after them
        note: the end
""",
    "items level with their name": """\
      - id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
        readings:
        - {x_mm: 1, y_mm: 1, instrument: pins,
           value: 14}

        # after a gap
    note: the end
""",
    "readings last of all": """\
      - id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
        readings: [{x_mm: 1, y_mm: 1, instrument: pins, value: 14}]""",
    "no readings yet": """\
      - id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        # bricks
        material: brick  # red
      - id: other
        kind: floor
        width_mm: 4000
        height_mm: 2400
        material: brick
""",
    "brackets over lines": """\
      - id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
        readings: [
          {x_mm: 1, y_mm: 1, instrument: pins, value: 14},  # é and ½ count as characters
          {x_mm: 2, y_mm: 1, instrument: pins, value: 14}
        ]
""",
    "an empty list": """\
      - id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
        readings: []
""",
}
UNSOUND = {
    "a surface in braces": f"      - {{id: wall, {WALL}}}\n",
    "a shared list": """\
      - id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
        readings: &shared
          - {x_mm: 1, y_mm: 1, instrument: pins, value: 14}
      - id: other
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
        readings: *shared
""",
    "a shared surface": """\
      - &wall
        id: wall
        kind: wall
        width_mm: 4000
        height_mm: 2400
        material: brick
  - id: other-room
    title: Other room
    surfaces: [*wall]
""",
}
TABLE = "x_mm,y_mm,instrument,value,note\n500,300,pins,18.5,'a: b' # [c]\n500,600,pins,16,\n"


@pytest.fixture
def put_in(tmp_path):
    table = tmp_path / "readings.csv"
    table.write_text(TABLE, encoding="utf-8")

    def imported(text, name="case.yaml"):
        document = read_document(Path(name), text=text)
        return import_readings(document, read_table(table, recognised), area="room", surface="wall")

    return imported


@pytest.mark.parametrize("ends", ["\n", "\r\n"], ids=["LF", "CRLF"])
@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=LAYOUTS)
def test_readings_are_inserted_and_every_line_of_the_writer_stays(put_in, layout, ends):
    text = (TOP + layout).replace("\n", ends)
    imported = put_in(text)
    new = with_readings(text, imported)
    assert new is not None
    assert parse_case(read_document(Path("case.yaml"), text=new)) == imported.case
    added = iter(new)
    assert all(character in added for character in text)  # the old text runs through the new one, in order
    assert new.count("#") >= text.count("#")
    assert ends == "\n" or "\n" not in new.replace("\r\n", "")


@pytest.mark.parametrize("layout", UNSOUND.values(), ids=UNSOUND)
def test_what_cannot_be_inserted_soundly_is_rewritten_and_said_so(put_in, layout):
    text = TOP + layout
    imported = put_in(text)
    assert with_readings(text, imported) is None
    assert parse_case(read_document(Path("new.yaml"), text=rewritten(imported, Path("new.yaml")))) == imported.case


def test_json_keeps_its_fields_in_order(put_in):
    data = read_document(Path("case.yaml"), text=TOP + LAYOUTS["no readings yet"]).data
    text = json.dumps(data)
    new = with_readings(text, put_in(text, "case.json"))
    assert list(json.loads(new)) == list(data)
    assert len(json.loads(new)["areas"][0]["surfaces"][0]["readings"]) == 2


def test_a_case_that_would_grow_beyond_what_can_be_read_is_refused(put_in):
    text = TOP + LAYOUTS["no readings yet"] + "#" * (2 * 1024 * 1024 - len(TOP) - 500)
    imported = put_in(text)
    with pytest.raises(InvalidInput, match="more than"):
        with_readings(text + " " * 400, imported)


@settings(max_examples=40)
@given(data=st.data())
def test_whatever_a_case_holds_the_text_written_for_it_takes_more_readings(strategies, tmp_path_factory, data):
    case = data.draw(strategies.cases())
    wanted = [
        (area, surface, visit, instrument)
        for area in case.areas
        for surface in area.surfaces
        for visit in case.visits
        for instrument in visit.instruments
        if instrument.mode in ("pins", "deep-pins", "capacitance")
    ]
    if not wanted:
        return
    area, surface, visit, instrument = wanted[0]
    table = tmp_path_factory.mktemp("drawn", numbered=True) / "readings.csv"
    y = surface.height_mm / 2
    table.write_text(f"x;y;instrument;value\n{surface.width_mm:.3f}0;{y:.3f}0;{instrument.id};1\n", encoding="utf-8")
    text = write_case(case)
    document = read_document(Path("case.yaml"), text=text)
    try:
        imported = import_readings(
            document, read_table(table, recognised), area=area.id, surface=surface.id, visit=visit.id
        )
    except InvalidInput:  # a second scale, or the place is taken
        return
    new = with_readings(text, imported)
    assert new is None or parse_case(read_document(Path("case.yaml"), text=new)) == imported.case
    assert parse_case(read_document(Path("n.yaml"), text=rewritten(imported, Path("n.yaml")))) == imported.case


def test_a_file_is_replaced_whole_or_not_at_all(tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text("before", encoding="utf-8")
    path.chmod(0o640)
    save_over(path, "after", "before")
    assert path.read_text(encoding="utf-8") == "after"
    assert path.stat().st_mode & 0o777 == 0o640
    with pytest.raises(InvalidInput, match="in the meantime"):
        save_over(path, "again", "before")
    assert path.read_text(encoding="utf-8") == "after"
    assert [one.name for one in tmp_path.iterdir()] == ["case.yaml"]


def test_a_link_keeps_pointing_to_the_file_that_was_replaced(tmp_path):
    (tmp_path / "real.yaml").write_text("before", encoding="utf-8")
    link = tmp_path / "link.yaml"
    link.symlink_to("real.yaml")
    save_over(link, "after", "before")
    assert link.is_symlink()
    assert (tmp_path / "real.yaml").read_text(encoding="utf-8") == "after"


def test_a_file_that_exists_is_never_overwritten(tmp_path):
    path = tmp_path / "case.yaml"
    save_new(path, "one")
    with pytest.raises(FileExistsError):
        save_new(path, "two")
    assert path.read_text(encoding="utf-8") == "one"


def test_a_write_that_fails_leaves_no_new_file(tmp_path):
    path = tmp_path / "case.yaml"
    with pytest.raises(UnicodeEncodeError):
        save_new(path, "\ud800")
    assert not path.exists()
