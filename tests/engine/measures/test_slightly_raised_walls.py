"""Walls that are raised by little: what is raised at all counts in profile and extent, and scatter makes no crest."""

from __future__ import annotations

import math

import pytest

from engine.measures.noise import place_spread, press_spread

SLIGHT = 1.5
"""Excess of a place that is raised, though by less than twice the smallest rise that counts."""
HEIGHTS = (100, 500, 900, 1300)


@pytest.fixture
def seen(weighed, surface, reading):
    """The pin readings of a wall with these excesses {(x, y): excess}, normal elsewhere on the grid."""

    def made(excesses, xs=(500, 1500, 2500), ys=HEIGHTS):
        readings = [reading(x, y, excesses.get((x, y), 0.0)) for x in xs for y in ys]
        return weighed(surface(readings)).electrical.of("wall", "pins")

    return made


def up(excesses, xs=(500, 1500)):
    """The same excesses from the foot up in every column."""
    return {(x, y): e for x in xs for y, e in zip(HEIGHTS, excesses, strict=True)}


def test_a_slightly_raised_wall_has_a_profile(seen):
    profile = seen(up((SLIGHT, 1.2, 0.2, 0.0)), xs=(500, 1500)).profile
    assert profile.base_excess == pytest.approx(SLIGHT)
    assert profile.peak_mm == 100
    assert profile.fall_off_mm == pytest.approx(500 + 400 * 0.2 / 1.0)
    assert profile.bound_mm == pytest.approx(200)


def test_a_slight_crest_is_one_where_it_stands_clear_of_its_scatter(seen):
    profile = seen(up((0.0, SLIGHT, 0.0, 0.0)), xs=(500, 1500)).profile
    assert profile.crest_mm == 500
    assert profile.columns[0].crest_mm == 500


@pytest.mark.parametrize("where", ["below", "above"])
def test_a_crest_stands_clear_by_twice_the_scatter_of_both_places(seen, parameters, where):
    clear, unclear = [], []
    for tenths in range(50):
        other = tenths / 10
        excesses = (other, 5.0, 0.0, 0.0) if where == "below" else (0.0, 5.0, other, other)
        found = seen(up(excesses), xs=(500, 1500))
        levels = found.columns[0].levels
        spread = press_spread(found.places, parameters)
        both = [
            place_spread(level.places[0], spread, parameters) for level in (levels[1], levels[2 * (where == "above")])
        ]
        apart = (5.0 - other) / math.hypot(*both)
        (clear if found.profile.columns[0].crest_mm == 500 else unclear).append(apart)
    assert 1.5 < max(unclear) < 2 < min(clear) < 2.5


def test_a_fall_over_a_single_step_from_the_peak_is_steady(seen):
    assert seen(up((0.0, 0.0, 5.0, 0.0)), xs=(500, 1500)).profile.steadiness == 1
    assert seen(up((0.0, 0.0, 0.0, 5.0)), xs=(500, 1500)).profile.steadiness is None


def test_a_slightly_raised_foot_is_a_run(seen):
    run = seen({(500, 100): SLIGHT}).run
    assert (run.start_mm, run.stop_mm, run.stop_bound_mm) == (0, 1000, 500)


def test_two_columns_are_enough_for_a_run_and_an_area(seen):
    found = seen({(500, 100): 3.0}, xs=(500, 1500))
    assert (found.run.start_mm, found.run.stop_mm) == (0, 1000)
    # by hand: from the left edge to 1000 mm, from the floor to 300 mm
    assert found.area.area_mm2 == pytest.approx(1000 * 300)


def test_slightly_raised_places_side_by_side_have_no_edge_between_them(seen):
    area = seen({(500, 900): SLIGHT, (1500, 900): SLIGHT}).area
    # by hand: 2000 mm wide, 400 mm tall; 200 mm up and down over both, 500 mm on the right of the second
    assert area.area_mm2 == pytest.approx(2000 * 400)
    assert area.bound_mm2 == pytest.approx(2 * 2000 * 200 + 400 * 500)


@pytest.mark.parametrize("other", [100, 1300])
def test_what_is_raised_at_another_height_of_the_next_column_leaves_an_edge_between(seen, other):
    area = seen({(500, 700): 3.0, (1500, other): 3.0}, ys=(100, 700, 1300), xs=(500, 1500)).area
    # by hand: 1000 x 600 mm, and 1000 x 400 mm at the foot (halfway from the floor) or 1000 x 600 mm at the top
    height = 400 if other == 100 else 600
    assert area.area_mm2 == pytest.approx(1000 * 600 + 1000 * height)
    up_and_down = 1000 * 300 * (2 + 1)
    assert area.bound_mm2 == pytest.approx(up_and_down + 600 * 500 + height * 500)
