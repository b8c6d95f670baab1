"""When no shape is named: readings that fit none, nothing raised, an edge that metal may make, modes that disagree."""

from __future__ import annotations

import numpy as np
import pytest

from engine.measures.likelihood import Wall
from engine.measures.meanings import ANSWERS, SHAPES
from engine.measures.shape import ShapeVerdict, shape_of
from engine.measures.wall import OPEN, taken_together

HEIGHTS = (50, 300, 600, 900, 1200, 1600, 2200)
COLUMNS = (300, 1300, 2300, 3300)
CLEAR = {
    "base-high-falling": lambda x, y: max(0.0, 6 * (1 - y / 900)),
    "crest-over-drier-base": lambda x, y: 6.0 if y == 900 else 1.5 if y < 900 else 0.0,
    "patch": lambda x, y: 6.0 if x == 1300 and y in (1200, 900) else 2.0 if x == 1300 and y == 1600 else 0.0,
    "top-down": lambda x, y: 6.0 if y > 2000 else 2.5 if y > 1500 else 0.0,
    "even": lambda x, y: 3.0,
    "streak": lambda x, y: 5.0 if x == 2300 else 0.0,
    "none": lambda x, y: 0.1,
}


def grid(excess, strays=None, heights=HEIGHTS, scatter=0.0):
    """A full grid with ``excess(x, y)``, some readings replaced, and seeded scatter [multiples of raised]."""
    places = [(j, x, y) for j, x in enumerate(COLUMNS) for y in heights]
    values = np.array([float((strays or {}).get((x, y), excess(x, y))) for _, x, y in places])
    return Wall(
        column=np.array([j for j, _, _ in places]),
        x_mm=np.array([float(x) for _, x, _ in places]),
        y_mm=np.array([float(y) for _, _, y in places]),
        excess=values + scatter * np.random.default_rng(1).normal(size=len(values)),
        level=np.full(len(places), 4.0),
        share=np.full(len(places), 0.05),
        width_mm=4000.0,
        height_mm=2400.0,
        referenced=True,
    )


@pytest.mark.parametrize("scatter", [0.0, 0.2])
@pytest.mark.parametrize("shape", SHAPES)
def test_on_a_clear_wall_no_reading_lies_further_from_its_shape_than_chance_puts_it(shape, scatter, parameters):
    verdict = shape_of(grid(CLEAR[shape], scatter=scatter), parameters)
    assert (verdict.shape, verdict.why) == (shape, "")
    assert 0 <= verdict.misfit < 1


@pytest.mark.parametrize("shape", ["base-high-falling", "even", "none"])
def test_two_readings_that_lie_far_out_fit_no_shape(shape, parameters):
    strays = {(300, 1600): 30.0, (2300, 2200): 30.0}
    verdict = shape_of(grid(CLEAR[shape], strays), parameters)
    assert verdict.shape is None
    assert verdict.why in ("no-shape-fits", "no-shape-stands-out")
    assert verdict.misfit > parameters["shape-misfit"]


def test_the_further_out_two_readings_lie_the_worse_is_the_fit(parameters):
    def misfit(excess):
        strays = {(300, 1600): excess, (2300, 2200): excess}
        return shape_of(grid(CLEAR["base-high-falling"], strays), parameters).misfit

    assert misfit(8.0) < misfit(12.0) < misfit(30.0)


def test_as_many_heights_as_are_needed_are_enough(parameters):
    least = int(parameters["profile-least-heights"])
    assert shape_of(grid(CLEAR["even"], heights=HEIGHTS[:least]), parameters).why != "too-few-heights"
    few = shape_of(grid(CLEAR["even"], heights=HEIGHTS[: least - 1]), parameters)
    assert (few.shape, few.fit, few.weights, few.misfit, few.why) == (None, 0.0, (), 0.0, "too-few-heights")


def test_every_answer_has_its_share_of_belief_and_the_fit_is_that_of_the_shape(parameters):
    verdict = shape_of(grid(CLEAR["patch"]), parameters)
    weights = dict(verdict.weights)
    assert tuple(weights) == tuple(ANSWERS)
    assert sum(weights.values()) == pytest.approx(1)
    assert verdict.fit == weights["patch"] == max(weights.values())


def test_a_wall_that_falls_from_the_base_and_is_raised_nowhere_has_no_raised_shape(facts_of, surface, reading):
    readings = [reading(x, y, 0.7 * max(0.0, 1 - y / 900)) for x in COLUMNS for y in HEIGHTS]
    assert facts_of(surface(readings)).get("wall-shape") in (None, "none")


def edge(kind, x):
    return {"id": kind, "kind": kind, "shape": "line", "x_mm": x, "y_mm": 0, "to_x_mm": x, "to_y_mm": 2400}


def test_a_streak_is_named_on_open_wall_and_not_along_an_arris_where_metal_may_be(weighed, surface, reading):
    readings = [reading(x, y, 5.0 if x == 2300 else 0.0) for x in COLUMNS for y in HEIGHTS]
    open_wall = weighed(surface(readings)).electrical
    along = weighed(surface(readings, features=[edge("arris", 2300)])).electrical
    beside = weighed(surface(readings, features=[edge("arris", 1800)])).electrical
    assert open_wall.shape == beside.shape == "streak"
    assert along.of("wall", "pins").shape.why == "along-an-edge"
    assert (along.shape, along.fit) == (None, 0.0)


def verdict(shape, fit, rest=None, why=""):
    """A verdict that gives ``fit`` to its shape and the rest to one other answer."""
    weights = dict.fromkeys(ANSWERS, 0.0) | {shape or "unclear": fit} | ({rest: 1 - fit} if rest else {})
    return ShapeVerdict(shape, fit, tuple(weights.items()), 0.0, why)


def test_two_modes_taken_together_multiply_their_beliefs_each_left_a_little_open(parameters):
    one, other = verdict("patch", 0.8, "streak"), verdict("streak", 0.4, "patch")
    shape, fit = taken_together([one, other], parameters["shape-margin"])
    patch, streak = (0.8 + OPEN) * (0.6 + OPEN), (0.2 + OPEN) * (0.4 + OPEN)
    rest = (len(ANSWERS) - 2) * OPEN * OPEN
    assert shape == "patch"
    assert fit == pytest.approx(patch / (patch + streak + rest))


def test_taken_together_no_shape_is_named_from_one_mode_nor_below_the_margin_nor_as_none_raised():
    firm = verdict("patch", 1.0)
    assert taken_together([firm], 0.5) == (None, 0.0)
    assert taken_together([firm, firm], 0.5)[0] == "patch"
    assert taken_together([firm, firm], 1.1) == (None, 0.0)
    assert taken_together([verdict("none", 1.0)] * 2, 0.5) == (None, 0.0)
    even_odds = verdict("patch", 0.5, "streak")
    exactly = taken_together([firm, firm], 0.0)[1]
    assert taken_together([firm, firm], exactly)[0] == "patch"
    assert taken_together([even_odds, even_odds], 0.6) == (None, 0.0)


def two_modes(weighed, surface, reading, pins, plate):
    readings = [reading(x, y, pins(x, y)) for x in COLUMNS for y in HEIGHTS]
    readings += [reading(x, y, plate(x, y), "plate") for x in COLUMNS for y in HEIGHTS]
    return weighed(surface(readings)).electrical


def test_the_shape_on_which_both_modes_agree_is_as_sure_as_the_surer_of_them(weighed, surface, reading):
    found = two_modes(weighed, surface, reading, CLEAR["base-high-falling"], CLEAR["base-high-falling"])
    fits = [found.of("wall", mode).shape.fit for mode in ("pins", "capacitance")]
    assert found.shape == "base-high-falling"
    assert found.fit == max(fits)


def test_the_shape_of_one_mode_stands_where_the_other_shows_nothing_raised(weighed, surface, reading):
    found = two_modes(weighed, surface, reading, CLEAR["base-high-falling"], CLEAR["none"])
    assert found.shape == "base-high-falling"
    assert found.fit == found.of("wall", "pins").shape.fit


def test_nothing_raised_in_either_mode_is_named_as_that(weighed, surface, reading):
    found = two_modes(weighed, surface, reading, CLEAR["none"], CLEAR["none"])
    assert found.shape == "none"
    assert found.fit == max(found.of("wall", mode).shape.fit for mode in ("pins", "capacitance"))


def test_modes_that_are_sure_of_different_shapes_name_none(weighed, surface, reading):
    found = two_modes(weighed, surface, reading, CLEAR["base-high-falling"], CLEAR["top-down"])
    assert (found.shape, found.fit) == (None, 0.0)


def test_none_raised_is_not_named_while_the_other_mode_is_raised_without_a_shape(weighed, surface, reading):
    def from_both_ends(x, y):
        return max(CLEAR["base-high-falling"](x, y), CLEAR["top-down"](x, y))

    found = two_modes(weighed, surface, reading, CLEAR["none"], from_both_ends)
    assert found.of("wall", "capacitance").shape.shape is None
    assert found.shape is None


@pytest.mark.parametrize(("shape", "excess"), [("none", 0.0), ("even", 3.0)])
def test_a_wall_that_reads_the_same_everywhere_fits_its_shape_without_a_remainder(shape, excess, parameters):
    verdict = shape_of(grid(lambda x, y: excess), parameters)
    assert verdict.shape == shape
    assert verdict.misfit < 0.1
