"""The grid that was read against good practice, and where to press next."""

from __future__ import annotations

import math
from itertools import pairwise
from statistics import mean

import numpy as np
import pytest

from engine.case.models import Surface
from engine.measures.columns import columns_of
from engine.measures.next_places import next_places
from engine.measures.places import Place

HEIGHTS = (50, 300, 600, 900, 1200, 1500, 2000)
GAPS = {
    "gap-dry-reference",
    "gap-reference-check",
    "gap-repeats",
    "gap-second-mode",
    "gap-heights",
    "gap-height-step",
    "gap-wall-base",
    "gap-above-damp",
    "gap-column-spacing",
    "gap-edge",
    "gap-floor-edge",
    "gap-chimney-breast-sides",
    "gap-other-face",
}


@pytest.fixture
def gaps(facts_of, instruments):
    checked = [{**one, "checks": [{"expected": 18, "tolerance": 1, "result": 18}]} for one in instruments]

    def found(*surfaces, visits=None):
        default = [{"id": "first", "on": "2025-01-10", "instruments": checked}]
        facts = facts_of(*surfaces, visits=visits or default)
        named = {name for name in GAPS if facts[name] == "yes"}
        assert facts["coverage-gaps"] == len(named)
        return named

    return found


def read(reading, excess, xs=(300, 1500, 2700, 3700), ys=HEIGHTS, modes=("pins", "plate")):
    return [reading(x, y, excess(x, y), mode) for mode in modes for x in xs for y in ys]


def test_a_dry_wall_read_as_good_practice_asks_has_no_gap(gaps, surface, reading):
    assert gaps(surface(read(reading, lambda x, y: 0.0))) == set()


def falling(x, y):
    return max(0.0, 6 - y / 150)


@pytest.mark.parametrize(
    ("gap", "xs", "ys", "modes", "excess"),
    [
        ("gap-second-mode", (300, 1500, 2700, 3700), HEIGHTS, ("pins",), falling),
        ("gap-heights", (300, 1500, 2700, 3700), (50, 300, 600), ("pins", "plate"), falling),
        ("gap-height-step", (300, 1500, 2700, 3700), (50, 600, 1200, 2000), ("pins", "plate"), falling),
        ("gap-wall-base", (300, 1500, 2700, 3700), (300, 600, 900, 1200, 1500), ("pins", "plate"), falling),
        ("gap-above-damp", (300, 1500, 2700, 3700), (50, 200, 350, 500), ("pins", "plate"), falling),
        ("gap-column-spacing", (300, 3700), HEIGHTS, ("pins", "plate"), falling),
        (
            "gap-edge",
            (300, 1500, 2700, 3700),
            HEIGHTS,
            ("pins", "plate"),
            lambda x, y: falling(x, y) if x < 2000 else 0.0,
        ),
        ("gap-floor-edge", (300, 1500, 2700, 3700), HEIGHTS, ("pins", "plate"), falling),
    ],
)
def test_a_gap_in_the_grid_is_found(gaps, surface, reading, gap, xs, ys, modes, excess):
    assert gap in gaps(surface(read(reading, excess, xs, ys, modes)))


def test_an_unread_reference_an_unchecked_instrument_and_single_presses_are_gaps(gaps, surface, reading, instruments):
    wall = surface(read(reading, lambda x, y: 0.0), referenced=False)
    assert "gap-dry-reference" in gaps(wall)
    unchecked = [{"id": "first", "on": "2025-01-10", "instruments": instruments}]
    assert "gap-reference-check" in gaps(wall, visits=unchecked)
    once = [{**one, "repeats": []} for one in read(reading, lambda x, y: 0.0)]
    assert gaps(surface(once)) == {"gap-repeats"}


def test_reading_the_floor_closes_the_gap_at_its_edge(gaps, surface, reading):
    floor = surface([reading(500, 50, 0), reading(500, 300, 0)], id="floor", kind="floor")
    assert "gap-floor-edge" not in gaps(surface(read(reading, falling)), floor)


def test_a_chimney_breast_wants_both_its_sides_read(gaps, surface, reading):
    breast = {"id": "breast", "kind": "chimney-breast", "x_mm": 1200, "y_mm": 0, "to_x_mm": 2800, "to_y_mm": 2400}
    one_side = read(reading, lambda x, y: 0.0, xs=(300, 1500, 2700))
    assert "gap-chimney-breast-sides" in gaps(surface(one_side, features=[breast]))
    assert "gap-chimney-breast-sides" not in gaps(
        surface(read(reading, lambda x, y: 0.0, xs=(900, 1500, 2700, 3100)), features=[breast])
    )


def test_a_raised_partition_wants_its_other_face_read(gaps, surface, reading):
    told = [{"attribute": "wall-position", "value": "internal", "basis": "seen"}]
    one = surface(read(reading, falling), facts=told)
    other = surface(read(reading, falling), id="other-face", facts=told)
    assert "gap-other-face" in gaps(one)
    assert "gap-other-face" not in gaps(one, other)


def test_next_places_lie_between_a_raised_and_a_normal_place(weighed, surface, reading):
    wall = surface(read(reading, lambda x, y: falling(x, y) if x < 2000 else 0.0, modes=("pins",)))
    (found,) = (r.next_places for r in weighed(wall).electrical.readings)
    assert found[0].closes == "gap-edge"
    assert found[0].x_mm == (1500 + 2700) / 2
    assert {(place.x_mm, place.y_mm) for place in found if place.closes == "gap-height-step"} == {
        (300, 750),
        (1500, 750),
    }
    assert [place.settles_mm2 for place in found] == sorted((p.settles_mm2 for p in found), reverse=True)


def test_a_settled_edge_asks_for_nothing_more(weighed, surface, reading):
    readings = read(reading, lambda x, y: 3.0 if y < 100 else 0.0, xs=(50, 1300, 2600, 3950), ys=(50, 140, 600, 1200))
    assert all(r.next_places == () for r in weighed(surface(readings)).electrical.readings)


def test_bracketing_needs_fewer_presses_than_a_grid_for_the_same_edge_error(parameters):
    """Hidden raised regions of any size and place at the base: after the same first grid, follow the advice."""
    wall = Surface(id="wall", kind="wall", width_mm=6000.0, height_mm=2400.0, material="plaster")
    advised, plain = [], []
    for seed in range(25):
        rng = np.random.default_rng([7, seed])
        start, stop, height = rng.uniform(400, 2400), rng.uniform(3400, 5600), rng.uniform(350, 1400)

        def inside(x, y, start=start, stop=stop, height=height):
            return start <= x <= stop and y <= height * (1 - 0.15 * math.sin(x / 900))

        spots = {(float(x), float(y)) for x in (300, 2000, 3700, 5400) for y in (50, 600, 1200, 1800)}
        while error(spots, inside, wall, parameters) > 120:
            advice = next_places(wall, "pins", columns(spots, inside, parameters), parameters)
            assert advice, "the edge is not known and nothing is advised"
            assert len(spots) < 200, "the advice leads nowhere"
            spots.add((advice[0].x_mm, advice[0].y_mm))
        advised.append(len(spots))
        for divisions in range(4, 60):
            xs = np.linspace(100, 5900, divisions)
            ys = np.linspace(50, 2000, max(4, divisions // 2))
            grid = {(float(x), float(y)) for x in xs for y in ys}
            if error(grid, inside, wall, parameters) <= 120:
                break
        plain.append(len(grid))
    assert mean(advised) < 0.5 * mean(plain)


def columns(spots, inside, parameters):
    places = [place(x, y, 4.0 if inside(x, y) else 0.0) for x, y in spots]
    return columns_of(places, parameters["column-width"], parameters["same-place-radius"])


def place(x, y, excess):
    value = 12 + 3 * excess
    return Place(
        "wall", "pins", "v", "pins", "wood-percent", None, x, y, 0.0, "plaster", (value,), value, 3.0, 12.0, "v"
    )


def error(spots, inside, wall, parameters):
    """Largest half-distance that leaves an edge open: up the raised columns, and at both ends along the foot [mm]."""
    found = columns(spots, inside, parameters)
    open_up = [0.0]
    feet = []
    for column in found:
        raised = [y for y, e in column.known if e >= 1]
        normal = [y for y, e in column.known if e < 1]
        feet.append((column.x_mm, bool(raised)))
        if raised and len(column.known) > 1:
            above = [y for y in normal if y > max(raised)]
            open_up.append((min(above) - max(raised)) / 2 if above else wall.height_mm)
    ends = [(b - a) / 2 for (a, wet), (b, other) in pairwise(feet) if wet != other]
    return max([*open_up, *ends]) if len(ends) >= 2 else wall.width_mm
