"""The wall map and the profile as plain text in a terminal."""

from __future__ import annotations

import dataclasses
import io
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from cli.views.page import Page
from cli.views.wall_map import map_lines, profile_lines, show_walls
from engine.reporting.figures import walls_of

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def walls(weighed_for_report):
    def found(name):
        (path,) = (ROOT / "casebook").glob(f"*/{name}.yaml")
        material = weighed_for_report(path)
        (area,) = material.case.areas
        return walls_of(material.case, area.id, material.opinion, material.rulebook)

    return {name: found(name) for name in ("raised-path", "meter-that-failed-its-check")}


@pytest.fixture(scope="module")
def wall(walls):
    return walls["raised-path"][0][0]


def values(lines):
    return [value for line in lines if "|" in line for value in re.findall(r"[\d.]+", line.split("|", 1)[1])]


def test_the_most_raised_surface_comes_first(walls):
    maps, profiles = walls["raised-path"]
    assert (maps[0].surface, maps[0].mode) == ("garden-wall", "pins")
    assert profiles[0].surface == "garden-wall"
    assert len(maps) == 3


def test_rows_are_heights_from_the_top_down_and_every_value_is_printed(wall):
    lines = list(map_lines(wall, 80))
    heights = [int(line.split("|")[0]) for line in lines if "|" in line]
    assert heights == [1250, 1000, 750, 500, 300, 75]
    assert sorted(map(float, values(lines))) == sorted(float(f"{mark.value:.0f}") for mark in wall.marks)


def test_raised_places_bear_a_star_and_the_reference_is_stated(wall):
    lines = list(map_lines(wall, 80))
    stars = sum(line.count("*") for line in lines if "|" in line)
    assert stars == sum(mark.state == "raised" for mark in wall.marks)
    assert any("dry reference 11 on lime plaster" in line for line in lines)
    assert any("blank: not read" in line for line in lines)


def test_places_that_were_set_aside_bear_a_cross_and_no_star(walls):
    pins = next(found for found in walls["meter-that-failed-its-check"][0] if found.mode == "pins")
    rows = [line.split("|")[1] for line in map_lines(pins, 80) if "|" in line]
    assert sum(row.count("x") for row in rows) == len(pins.marks)
    assert not any("*" in row for row in rows)


def test_the_profile_has_a_bar_to_a_height_as_long_as_the_level(walls):
    profile = walls["raised-path"][1][0]
    lines = list(profile_lines(profile, 80))
    bars = [len(re.findall(r"#+", line)[0]) if "#" in line else 0 for line in lines[1:7]]
    levels = [max(float(line.split()[1]), 0.0) for line in lines[1:7]]
    assert bars == [round(level / max(levels) * max(bars)) for level in levels]
    assert lines[6].split()[:2] == ["75", "5.5"]


@pytest.mark.parametrize("width", [40, 60, 80, 200])
def test_lines_keep_within_the_page_and_to_letters_that_every_terminal_has(walls, width):
    for maps, profiles in walls.values():
        printed = io.StringIO()
        page = Page(Console(file=printed, width=width, markup=False, highlight=False, no_color=True))
        show_walls(maps, profiles, page, full=True)
        lines = printed.getvalue().splitlines()
        assert max(map(len, lines)) <= width
        assert max(len(line) for line in lines if "|" in line or "#" in line) <= 80
        printed.getvalue().encode("ascii")


at = st.tuples(st.floats(-40, 4240), st.floats(0, 2400), st.floats(0, 100))


@given(st.lists(at, min_size=1, max_size=120), st.integers(30, 80))
def test_each_place_is_printed_or_counted_among_those_without_room(wall, read, width):
    first = wall.marks[0]
    marks = tuple(dataclasses.replace(first, x_mm=x, y_mm=y, height_mm=y, value=value) for x, y, value in read)
    lines = list(map_lines(dataclasses.replace(wall, marks=marks), width))
    hidden = [int(line.split()[0]) for line in lines if line.endswith("too close to be printed here")]
    assert len(values(lines)) + sum(hidden) == len(marks)
    assert len({len(line) for line in lines if "|" in line}) == 1


def test_weighing_prints_the_map_and_draws_nothing():
    program = (
        "import sys; from cli.weighing import run, demonstration;"
        "run(demonstration(), as_json=False, strict=False, exact=False, full=False, plain=True, rules=None,"
        " chainer='python');"
        "print(sorted({'matplotlib', 'jinja2', 'docx', 'PIL'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert "Wall map: garden wall, pins, 11 March 2026" in done.stdout
    assert "Profile: garden wall" in done.stdout
    assert done.stderr.strip() == "[]"
