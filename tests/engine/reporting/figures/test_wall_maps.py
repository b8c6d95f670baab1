"""Wall maps hold what was read, where it was read, and nothing else."""

from __future__ import annotations

from collections import Counter
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.reporting.figures.walls import wall_figure, wall_maps

CASES = ("raised-path", "flood-drying-over-a-year", "meter-that-failed-its-check", "agency-visit-without-a-reference")


def presses_of(surfaces):
    return Counter(
        (surface.id, reading.instrument, value)
        for surface in surfaces
        for reading in surface.readings
        for value in (reading.value, *reading.repeats)
    )


def presses_on(maps):
    return Counter((found.surface, m.instrument, value) for found in maps for m in found.marks for value in m.presses)


@pytest.mark.parametrize("name", CASES)
def test_every_press_of_a_worked_case_stands_on_exactly_one_map(worked, figures, name):
    surfaces = [surface for area in worked(name).case.areas for surface in area.surfaces]
    assert presses_on(figure.data for figure in figures(name, "wall-map")) == presses_of(surfaces)


@pytest.mark.parametrize("name", CASES)
def test_nothing_stands_where_nothing_was_read(worked, figures, name):
    read = {
        (surface.id, reading.x_mm, reading.y_mm)
        for area in worked(name).case.areas
        for surface in area.surfaces
        for reading in surface.readings
    }
    for figure in figures(name, "wall-map"):
        assert {(figure.data.surface, m.x_mm, m.y_mm) for m in figure.data.marks} <= read


def test_a_mark_is_the_median_of_its_presses_and_its_rise_is_over_the_stated_reference(figures):
    for figure in figures("raised-path", "wall-map"):
        (scale,) = figure.data.scales
        references = dict(scale.references)
        for mark in figure.data.marks:
            assert mark.value == median(mark.presses)
            assert mark.excess == pytest.approx((mark.value - references[mark.material]) / scale.raised)
            assert mark.state == ("raised" if mark.excess >= 1 else "normal")


def test_readings_of_an_instrument_that_was_set_aside_are_marked_so_and_not_judged(worked, figures):
    (area,) = worked("meter-that-failed-its-check").opinion.areas
    aside = {(item.visit, item.instrument) for item in area.voided}
    assert aside
    for figure in figures("meter-that-failed-its-check", "wall-map"):
        for mark in figure.data.marks:
            voided = (figure.data.visit, mark.instrument) in aside
            assert (mark.state == "set-aside") is voided
            assert mark.excess is None or not voided


def test_without_a_dry_reference_there_is_no_level(figures):
    (pins,) = (f for f in figures("agency-visit-without-a-reference", "wall-map") if f.data.mode == "pins")
    bare = [mark for mark in pins.data.marks if mark.material == "papered plaster"]
    assert bare
    assert {(mark.state, mark.excess) for mark in bare} == {("no-reference", None)}
    assert "no dry reference" in pins.alt


def test_openings_lines_and_fittings_stand_where_the_case_has_them(worked, figures):
    (area,) = worked("raised-path").case.areas
    wall = next(surface for surface in area.surfaces if surface.id == "garden-wall")
    drawn = next(f for f in figures("raised-path", "wall-map") if f.data.surface == "garden-wall").data.features
    assert [(i.kind, i.x_mm, i.y_mm, i.to_x_mm, i.to_y_mm) for i in drawn] == [
        (i.kind, i.x_mm, i.y_mm, i.to_x_mm, i.to_y_mm) for i in wall.features
    ]


def test_the_table_sets_out_the_places_as_they_lie_from_the_top_down(figures):
    table = figures("raised-path", "wall-map")[0].table
    heights = [float(row[0]) for row in table.rows]
    assert heights == sorted(heights, reverse=True)
    assert table.header[1] == "300 mm right"
    assert table.rows[-1][3] == "27.4 (+5.5)"


places = st.tuples(
    st.integers(0, 3000), st.integers(0, 2400), st.floats(0, 100).map(lambda v: round(v, 1)), st.booleans()
)


@given(st.lists(places, min_size=1, max_size=60))
def test_whatever_is_read_every_press_is_on_a_map_once_and_the_table_has_every_place(area_case, parameters, read):
    readings = [
        {"x_mm": x, "y_mm": y, "instrument": "plate", "value": value, "repeats": [value] if again else []}
        for x, y, value, again in read
    ]
    plate = {"id": "plate", "mode": "capacitance", "scale": "relative", "full_scale": 100}
    surface = {
        "id": "wall", "kind": "wall", "width_mm": 3000, "height_mm": 2400, "material": "brick", "readings": readings,
        "dry_references": [{"instrument": "plate", "material": "brick", "value": 10}],
    }  # fmt: skip
    case, area = area_case([{"id": "first", "on": "2025-01-10", "instruments": [plate]}], surfaces=[surface])
    (found,) = wall_maps(case, area, parameters, frozenset())
    assert presses_on([found]) == presses_of(area.surfaces)
    table = wall_figure(found, "area").table
    cells = sum(cell != "–" for row in table.rows for cell in row[1:]) if "mm right" in table.header[1] else None
    assert (cells or len(table.rows)) == len(found.marks)
