"""Water on the move in a wall, held against closed forms and against its own balance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.measures.rise import Wall, steady_height
from engine.synthesis.flow import Grid, potential, potential_of, wetness

GRID = Grid(2000, 2000)
SHUT = np.full(len(GRID.x), np.nan)
NOTHING = np.zeros((len(GRID.y), len(GRID.x)))
CELL_M2 = (GRID.step_mm / 1000) ** 2


def leaking(x_mm: float, y_mm: float, area_m2: float) -> np.ndarray:
    """Inflow, in units of evaporation, of a source whose water dries from so large an area."""
    x, y = GRID.mesh
    place = np.hypot(x - x_mm, y - y_mm) <= 110
    return np.asarray(place * area_m2 / (np.count_nonzero(place) * CELL_M2))


@pytest.mark.parametrize("height", [300.0, 750.0, 1500.0])
def test_rise_over_a_saturated_foot_follows_the_closed_form(height):
    """Flux potential (1 − y/h)²: constant evaporation makes the flux fall in proportion to height, all gone by h."""
    phi = potential(GRID, height, NOTHING, np.ones(len(GRID.x)), SHUT)
    expected = np.clip(1 - GRID.y / height, 0, None) ** 2
    assert np.abs(phi - expected[:, None]).max() < 0.01


@pytest.mark.parametrize(
    ("thickness", "published_mm"), [(112, 529), (150, 612), (225, 750), (340, 922), (500, 1118), (1000, 1581)]
)
def test_the_wet_zone_ends_at_the_balance_height_of_hall_and_hoff(thickness, published_mm):
    """S 1.0 mm/min^½, e 0.001 mm/min, θ 0.2 (Hall and Hoff 2007, at second hand: table of steady heights)."""
    height = steady_height(Wall(thickness))
    assert height == pytest.approx(published_mm, abs=0.6)
    phi = potential(GRID, height, NOTHING, np.ones(len(GRID.x)), SHUT)
    wet = GRID.y[phi[:, 10] > 0]
    assert wet.max() == pytest.approx(published_mm, abs=1.5 * GRID.step_mm)


@settings(max_examples=25, deadline=None)
@given(area=st.floats(0.4, 0.9), gravity=st.floats(0, 0.002), height=st.floats(500, 1200))
def test_what_leaks_in_dries_out(area, gravity, height):
    """In a steady state the wet area times the evaporation is the inflow, wherever gravity draws the plume."""
    phi = potential(GRID, height, leaking(1000, 1200, area), SHUT, SHUT, gravity)
    if phi.max() < 1 and phi[0].max() == 0:
        assert np.count_nonzero(phi > 0) * CELL_M2 == pytest.approx(area, rel=0.15)


def test_gravity_draws_a_plume_down_and_nothing_draws_it_sideways():
    heights = []
    for gravity in (0.0, 0.001, 0.003):
        phi = potential(GRID, 900, leaking(1000, 1200, 0.6), SHUT, SHUT, gravity)
        assert phi == pytest.approx(phi[:, ::-1], abs=1e-3)
        heights.append(float((phi.sum(axis=1) @ GRID.y) / phi.sum()))
    assert heights[0] == pytest.approx(1200, abs=GRID.step_mm)
    assert heights[0] > heights[1] > heights[2]


def test_two_sources_share_the_evaporation_so_that_both_reach_further_than_either():
    one, other = leaking(800, 1000, 0.3), leaking(1200, 1000, 0.3)
    both = potential(GRID, 900, one + other, SHUT, SHUT)
    apart = np.maximum(potential(GRID, 900, one, SHUT, SHUT), potential(GRID, 900, other, SHUT, SHUT))
    assert np.all(both >= apart - 1e-3)
    assert both[:, len(GRID.x) // 2].sum() > apart[:, len(GRID.x) // 2].sum()


@settings(max_examples=15, deadline=None)
@given(scale=st.floats(0.3, 3.0))
def test_a_wall_and_its_balance_height_enlarged_together_wet_alike(scale):
    larger = Grid(GRID.width_mm * scale, GRID.height_mm * scale, GRID.step_mm * scale)
    foot = np.where(GRID.x < 1000, 0.8, np.nan)
    small = potential(GRID, 700, NOTHING, foot, SHUT, 0.001)
    assert potential(larger, 700 * scale, NOTHING, foot, SHUT, 0.001 / scale) == pytest.approx(small, abs=1e-3)


@given(wet=st.floats(0, 1), exponent=st.floats(0.5, 9))
def test_wetness_and_potential_are_inverse(wet, exponent):
    assert float(wetness(np.asarray(potential_of(wet, exponent)), exponent)) == pytest.approx(wet, abs=1e-9)


@given(x=st.floats(-100, 2100), y=st.floats(-100, 2100))
def test_a_field_is_read_between_cells_along_straight_lines(x, y):
    across, up = GRID.mesh
    value = GRID.at(2 * across + 3 * up, np.asarray([x]), np.asarray([y]))
    assert value[0] == pytest.approx(2 * np.clip(x, 25, 1975) + 3 * np.clip(y, 25, 1975))
