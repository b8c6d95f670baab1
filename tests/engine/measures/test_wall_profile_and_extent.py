"""Profile up the wall, extent along it, edge lines, and distances to named features."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.case.models import Feature
from engine.measures.columns import shares
from engine.measures.extent import distance_to

HEIGHTS = (50, 300, 600, 900, 1200, 1700, 2200)
COLUMNS = (300, 1300, 2300, 3300)


def read(reading, excess, xs=COLUMNS, ys=HEIGHTS):
    return [reading(x, y, excess(x, y)) for x in xs for y in ys]


def test_a_falling_profile_gives_base_peak_and_the_height_where_it_falls_off(facts_of, surface, reading):
    facts = facts_of(surface(read(reading, lambda x, y: max(0.0, 6 - y / 150))))
    assert facts["profile-heights"] == 7
    assert facts["profile-base-excess"] == pytest.approx(6 - 50 / 150)
    assert facts["profile-peak-height-mm"] == 50
    assert facts["profile-fall-off-height-mm"] == pytest.approx(750)
    assert facts["profile-fall-off-bound-mm"] == pytest.approx(150)
    assert facts["profile-fall-steadiness"] == 1
    assert "profile-crest-height-mm" not in facts


def test_a_crest_over_a_drier_base_gives_the_height_of_the_crest(facts_of, surface, reading):
    facts = facts_of(surface(read(reading, lambda x, y: 6 if y == 900 else 1.5 if y < 900 else 0)))
    assert facts["profile-crest-height-mm"] == 900
    assert facts["profile-peak-height-mm"] == 900


def test_readings_that_rise_again_fall_less_steadily(facts_of, surface, reading):
    ups = {50: 8, 300: 2, 600: 6, 900: 1, 1200: 0, 1700: 0, 2200: 0}
    assert facts_of(surface(read(reading, lambda x, y: ups[y])))["profile-fall-steadiness"] == pytest.approx(8 / 16)


def test_a_column_still_raised_at_its_top_has_no_fall_off_height(facts_of, surface, reading):
    facts = facts_of(surface(read(reading, lambda x, y: 3, ys=(50, 300, 600, 900))))
    assert "profile-fall-off-height-mm" not in facts
    assert facts["gap-above-damp"] == "yes"


def test_three_heights_give_no_profile(facts_of, surface, reading):
    facts = facts_of(surface(read(reading, lambda x, y: 6 - y / 200, ys=(50, 500, 1000))))
    assert facts["profile-heights"] == 3
    assert not {"profile-base-excess", "profile-fall-off-height-mm", "wall-shape"} & facts.keys()


def test_heights_are_measured_from_the_floor_line(facts_of, surface, reading):
    lifted = [{**one, "y_mm": one["y_mm"] + 150} for one in read(reading, lambda x, y: max(0.0, 6 - y / 150))]
    line = {
        "id": "floor",
        "kind": "floor-line",
        "shape": "line",
        "x_mm": 0,
        "y_mm": 150,
        "to_x_mm": 4000,
        "to_y_mm": 150,
    }
    facts = facts_of(surface(lifted, features=[line], height_mm=2550.0))
    assert facts["profile-fall-off-height-mm"] == pytest.approx(750)
    assert facts["wall-shape"] == "base-high-falling"


def test_the_raised_run_reaches_halfway_to_the_next_column(weighed, surface, reading):
    measured = weighed(surface(read(reading, lambda x, y: max(0.0, 6 - y / 150) if 1000 < x < 3000 else 0.0)))
    (run,) = (r.run for r in measured.electrical.readings)
    assert (run.start_mm, run.stop_mm) == (800, 2800)
    assert (run.start_bound_mm, run.stop_bound_mm) == (500, 500)
    assert {f.attribute: f.value for f in measured.facts}["base-run-length-mm"] == 2000


def test_the_area_of_an_evenly_damp_wall_is_the_wall_that_was_read(weighed, surface, reading):
    measured = weighed(surface(read(reading, lambda x, y: 3)))
    (area,) = (r.area for r in measured.electrical.readings)
    assert area.area_mm2 == pytest.approx(3800 * (2350 + 0))
    assert area.bound_mm2 == 0


def test_the_area_of_a_patch_holds_the_truth_within_its_bound(weighed, surface, reading):
    def patch(x, y):
        return 4.0 if 800 <= x <= 2000 and 500 <= y <= 1400 else 0.0

    xs, ys = range(100, 4000, 300), range(50, 2400, 250)
    measured = weighed(surface(read(reading, patch, xs, ys)))
    (area,) = (r.area for r in measured.electrical.readings)
    assert abs(area.area_mm2 - 1200 * 900) <= area.bound_mm2
    assert area.centre_y_mm == pytest.approx(950, abs=125)
    facts = {f.attribute: f.value for f in measured.facts}
    assert facts["wall-shape"] == "patch"
    assert facts["patch-centre-height-mm"] == pytest.approx(950, abs=125)


def test_a_bead_along_an_arris_is_an_edge_line(facts_of, surface, reading):
    arris = {
        "id": "reveal",
        "kind": "arris",
        "shape": "line",
        "x_mm": 1000,
        "y_mm": 0,
        "to_x_mm": 1000,
        "to_y_mm": 2400,
    }
    readings = [reading(x, y, 6 if x == 1000 else 0) for x in (1000, 1080, 1250) for y in (300, 700, 1100, 1500)]
    assert facts_of(surface(readings, features=[arris]))["edge-line"] == "yes"


def test_a_ruler_straight_strip_needs_no_drawn_arris(weighed, surface, reading):
    readings = [reading(x, y, 6 if x == 1000 else 0) for x in (950, 1000, 1050) for y in (300, 700, 1100, 1500)]
    measured = weighed(surface(readings))
    (line,) = (r.line for r in measured.electrical.readings)
    assert line.feature is None
    assert not line.dotted
    assert len(line.places) == 4


def test_dots_in_a_row_are_an_edge_line(weighed, surface, reading):
    """Fixings at 400 mm: raised on the fixing, normal 50 mm beside it and between."""
    readings = [
        reading(x, y, 5 if y == 500 and (x - 400) % 400 == 0 else 0)
        for x in range(400, 2401, 200)
        for y in (450, 500, 550)
    ]
    (line,) = (r.line for r in weighed(surface(readings)).electrical.readings)
    assert line.dotted
    assert len(line.places) == 6


def test_a_broad_damp_is_no_edge_line(facts_of, surface, reading):
    assert facts_of(surface(read(reading, lambda x, y: max(0.0, 6 - y / 150))))["edge-line"] == "no"


def test_a_streak_on_a_coarse_grid_leaves_the_edge_line_open(facts_of, surface, reading):
    assert "edge-line" not in facts_of(surface(read(reading, lambda x, y: 5 if x == 1300 else 0)))


def test_distances_are_from_the_nearest_damp_place(facts_of, surface, reading):
    features = [
        {"id": "window", "kind": "window", "x_mm": 600, "y_mm": 800, "to_x_mm": 1200, "to_y_mm": 1800},
        {"id": "pipe", "kind": "pipe", "shape": "line", "x_mm": 0, "y_mm": 350, "to_x_mm": 900, "to_y_mm": 350},
        {
            "id": "ground",
            "kind": "outside-ground-line",
            "shape": "line",
            "x_mm": 0,
            "y_mm": 200,
            "to_x_mm": 4000,
            "to_y_mm": 200,
        },
    ]
    facts = facts_of(surface([reading(500, 450, 4), reading(3000, 900, 0)], features=features))
    assert facts["distance-to-opening-mm"] == pytest.approx(math.hypot(100, 350))
    assert facts["distance-to-pipe-mm"] == pytest.approx(100)
    assert facts["distance-to-outside-ground-mm"] == pytest.approx(250)
    assert facts["damp-top-above-outside-ground-mm"] == pytest.approx(250)
    assert "distance-to-chimney-mm" not in facts


def test_a_chimney_breast_that_is_a_surface_is_at_no_distance(facts_of, surface, reading):
    assert facts_of(surface([reading(500, 1400, 4)], kind="chimney-breast"))["distance-to-chimney-mm"] == 0


@given(
    corners=st.tuples(*[st.floats(-3000, 3000)] * 4),
    point=st.tuples(st.floats(-4000, 4000), st.floats(-4000, 4000)),
    shape=st.sampled_from(["rectangle", "line"]),
)
def test_no_point_of_a_feature_is_nearer_than_its_distance(corners, point, shape):
    x, y, to_x, to_y = corners
    feature = Feature(id="one", kind="other", shape=shape, x_mm=x, y_mm=y, to_x_mm=to_x, to_y_mm=to_y)
    distance = distance_to(feature, *point)
    steps = [i / 20 for i in range(21)]
    if shape == "line":
        points = [(x + s * (to_x - x), y + s * (to_y - y)) for s in steps]
    else:
        points = [(x + s * (to_x - x), y + t * (to_y - y)) for s in steps for t in steps]
    nearest = min(math.hypot(px - point[0], py - point[1]) for px, py in points)
    step = math.hypot(to_x - x, to_y - y) / 20
    assert distance - 1e-6 <= nearest <= distance + step + 1e-6


@given(positions=st.lists(st.floats(0, 4000), min_size=2, max_size=20, unique=True).map(sorted))
def test_the_pieces_of_wall_touch_and_stay_on_the_wall(positions):
    pieces = shares(positions, 0.0, 4000.0)
    assert all(a[1] == b[0] for a, b in pairwise(pieces))
    assert all(low <= x <= high for (low, high), x in zip(pieces, positions, strict=True))
    assert pieces[0][0] >= 0
    assert pieces[-1][1] <= 4000
