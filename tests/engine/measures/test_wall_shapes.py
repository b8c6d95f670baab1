"""Shapes: named where one simple shape explains the readings, and left open otherwise."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.measures.likelihood import DENSITY, Wall
from engine.measures.meanings import SHAPES
from engine.measures.shape import shape_of

HEIGHTS = (50, 300, 600, 900, 1200, 1600, 2200)


def grid(excess, xs=(300, 1300, 2300, 3300), heights=HEIGHTS, spread=0.05, referenced=True):
    """A full grid without scatter, ``excess(x, y)`` in multiples of raised."""
    places = [(j, x, y) for j, x in enumerate(xs) for y in heights]
    return Wall(
        column=np.array([j for j, _, _ in places]),
        x_mm=np.array([float(x) for _, x, _ in places]),
        y_mm=np.array([float(y) for _, _, y in places]),
        excess=np.array([float(excess(x, y)) for _, x, y in places]),
        level=np.full(len(places), 4.0),
        share=np.full(len(places), spread),
        width_mm=4000.0,
        height_mm=2400.0,
        referenced=referenced,
    )


CLEAR = {
    "base-high-falling": lambda x, y: max(0.0, 6 * (1 - y / 900)),
    "crest-over-drier-base": lambda x, y: 6.0 if y == 900 else 1.5 if y < 900 else 0.0,
    "patch": lambda x, y: 6.0 if x == 1300 and y in (1200, 900) else 2.0 if x == 1300 and y == 1600 else 0.0,
    "top-down": lambda x, y: 6.0 if y > 2000 else 2.5 if y > 1500 else 0.0,
    "even": lambda x, y: 3.0,
    "streak": lambda x, y: 5.0 if x == 2300 else 0.0,
    "none": lambda x, y: 0.1,
}


@pytest.mark.parametrize("shape", SHAPES)
def test_a_clear_wall_is_named_with_a_good_fit(shape, parameters):
    verdict = shape_of(grid(CLEAR[shape]), parameters)
    assert verdict.shape == shape
    assert verdict.fit > 0.9


@pytest.mark.parametrize("shape", SHAPES)
def test_fewer_than_four_heights_name_no_shape(shape, parameters):
    verdict = shape_of(grid(CLEAR[shape], heights=HEIGHTS[::3]), parameters)
    assert verdict.shape is None
    assert verdict.why == "too-few-heights"


def test_two_sources_at_once_name_no_shape(parameters):
    def both(x, y):
        return CLEAR["base-high-falling"](x, y) + CLEAR["top-down"](x, y)

    assert shape_of(grid(both), parameters).shape is None


def test_a_streak_beside_a_damp_base_names_no_shape(parameters):
    def both(x, y):
        return max(CLEAR["base-high-falling"](x, y), CLEAR["streak"](x, y))

    assert shape_of(grid(both), parameters).shape is None


def test_one_column_cannot_tell_a_crest_from_a_patch(parameters):
    assert shape_of(grid(CLEAR["crest-over-drier-base"], xs=(300,)), parameters).shape is None


def test_one_stray_reading_does_not_hide_a_shape(parameters):
    wall = grid(CLEAR["base-high-falling"])
    stray = wall.excess.copy()
    stray[5] = 2.0
    verdict = shape_of(replace(wall, excess=stray), parameters)
    assert verdict.shape == "base-high-falling"


def test_a_top_that_was_not_read_to_the_head_of_the_wall_is_not_called_top_down(parameters):
    verdict = shape_of(grid(lambda x, y: 5.0 if y >= 1000 else 0.0, heights=(50, 300, 600, 1000, 1300)), parameters)
    assert verdict.shape is None


def test_a_base_that_was_not_read_is_not_called_high(parameters):
    high = grid(lambda x, y: max(0.0, 6 * (1 - y / 1500)), heights=(700, 900, 1200, 1500, 1900, 2200))
    verdict = shape_of(high, parameters)
    assert verdict.shape is None


@pytest.mark.parametrize("shape", [shape for shape in SHAPES if shape not in ("even", "none")])
def test_without_a_dry_reference_a_shape_can_be_told_from_differences(shape, parameters):
    assert shape_of(grid(CLEAR[shape], referenced=False), parameters).shape == shape


@pytest.mark.parametrize("shape", ["even", "none"])
def test_without_a_dry_reference_an_even_wall_is_neither_damp_nor_dry(shape, parameters):
    flat = grid(lambda x, y: 0.0, referenced=False)
    assert shape_of(flat, parameters).shape is None
    assert shape_of(grid(CLEAR[shape], referenced=False), parameters).shape is None


@settings(max_examples=30, deadline=None)
@given(shape=st.sampled_from(SHAPES), spread=st.floats(0.6, 5.0))
def test_presses_that_scatter_wildly_never_make_a_shape_certain(parameters, shape, spread):
    assert shape_of(grid(CLEAR[shape], spread=spread), parameters).fit < 0.95


@settings(max_examples=30, deadline=None)
@given(shape=st.sampled_from(SHAPES), shift=st.floats(-250, 600))
def test_shifting_the_readings_along_the_wall_changes_no_shape(parameters, shape, shift):
    wall = grid(CLEAR[shape], xs=(900, 1700, 2300, 3000))
    moved = replace(wall, x_mm=wall.x_mm + shift)
    assert shape_of(moved, parameters).shape == shape_of(wall, parameters).shape


@settings(max_examples=40, deadline=None)
@given(
    excess=st.lists(st.floats(-2, 30), min_size=28, max_size=28),
    spread=st.floats(0.02, 0.5),
    referenced=st.booleans(),
)
def test_any_readings_give_weights_that_sum_to_one(parameters, excess, spread, referenced):
    values = iter(excess)
    verdict = shape_of(grid(lambda x, y: next(values), spread=spread, referenced=referenced), parameters)
    assert sum(weight for _, weight in verdict.weights) == pytest.approx(1.0)
    assert 0 <= verdict.fit <= 1
    assert verdict.shape is None or verdict.fit >= parameters["shape-margin"]


def test_the_density_is_that_of_students_t_with_three_degrees_of_freedom():
    stats = pytest.importorskip("scipy.stats")
    assert pytest.approx(stats.t.pdf(0, 3), rel=1e-12) == DENSITY
    z = 1.7
    assert DENSITY / (1 + z * z / 3) ** 2 == pytest.approx(stats.t.pdf(z, 3), rel=1e-12)
