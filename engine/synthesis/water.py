"""Mechanisms that bring water, or leave it behind: from the ground, a point, the wall head, a line, the rain."""

from __future__ import annotations

import numpy as np

from engine.measures.rise import height_after
from engine.synthesis.flow import Field, Grid, potential_of
from engine.synthesis.ranges import Draw
from engine.synthesis.salts import crest
from engine.synthesis.state import Building, Contribution

HIGHEST_RISE, LOWEST_RISE = 1500.0, 250.0
"""Balance heights that are kept [mm]: commonly 300 to 1000, rarely above 1200 to 1500 (common practice)."""

MINUTES_PER_DAY = 1440.0


def rise_height(draw: Draw, building: Building, name: str) -> float:
    """Height of capillary rise after a drawn time [mm] by Hall and Hoff's balance, for a wall whose rise is kept."""
    return draw.note(name, height_after(building.wall, draw("ground-age", name)))


def along(draw: Draw, grid: Grid, owner: str) -> Field:
    """Which columns of the grid are wetted: the whole length in half of the draws, else one run of it."""
    if draw.chance(0.5):
        start, end = 0.0, grid.width_mm
    else:
        length = draw("run-share", owner) * grid.width_mm
        start = draw.random.choice([0.0, grid.width_mm - length, draw.random.uniform(0, grid.width_mm - length)])
        end = start + length
    draw.note("run-start-mm", start, owner)
    draw.note("run-end-mm", end, owner)
    return np.asarray((grid.x >= start) & (grid.x <= end), dtype=float)


def capillary_rise(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Ground moisture that rises over part or all of the wall's length and leaves some of its salts near its top."""
    owner = "capillary-rise"
    run = along(draw, building.grid, owner)
    wet = potential_of(draw("ground-wetness", owner), building.exponent)
    salts = None
    if draw.chance(0.5):
        salts = draw("rise-salts", owner) * crest(draw, building.grid, rise_mm, run, owner)
    return Contribution(
        owner, foot=np.where(run > 0, wet, np.nan), salts=salts, salts_in_field=draw("salt-in-field", owner)
    )


def residual_salts(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Salts of a former rise, with hardly any water left below them."""
    owner = "residual-salts"
    run = along(draw, building.grid, owner)
    salts = draw("salt-strength", owner) * crest(draw, building.grid, rise_mm, run, owner)
    left = np.where(building.grid.y[:, None] < rise_mm, draw("former-wetness", owner), 0.0) * run
    return Contribution(owner, still_water=left, salts=salts, salts_in_field=draw("salt-in-field", owner))


def _enters(grid: Grid, x_mm: float, y_mm: float, radius_mm: float, litres_a_day: float, evaporation: float) -> Field:
    """Inflow in units of evaporation of a place of entry: 1 l/m² is 1 mm."""
    x, y = grid.mesh
    distance = np.hypot(x - x_mm, y - y_mm)
    place = distance <= max(radius_mm, float(distance.min()))
    per_minute = litres_a_day / MINUTES_PER_DAY / (np.count_nonzero(place) * (grid.step_mm / 1000) ** 2)
    return np.asarray(place * per_minute / evaporation)


def point_leak(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """A leak at one point, whose water spreads, sinks and dries away: a plume."""
    owner, grid = "point-leak", building.grid
    x = draw.note("leak-x", draw.random.uniform(0.15, 0.85) * grid.width_mm, owner)
    y = draw("leak-height", owner) * grid.height_mm
    rate, radius = draw("leak-rate", owner), draw("entry-radius", owner)
    inflow = _enters(grid, x, y, radius, rate, building.wall.evaporation)
    return Contribution(owner, gravity=draw("gravity", owner), inflow=inflow)


def driven_rain(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Rain that enters at one to three weak places of the outer face."""
    owner, grid = "driven-rain", building.grid
    places = int(draw.note("places", float(draw.random.integers(1, 4)), owner))
    inflow = np.zeros((len(grid.y), len(grid.x)))
    for number in range(1, places + 1):
        entry = f"{owner}.entry-{number}"
        x = draw.note("x", draw.random.uniform(0.1, 0.9) * grid.width_mm, entry)
        y = draw.note("y", draw.random.uniform(0.3, 0.85) * grid.height_mm, entry)
        rate, radius = draw("rain-rate", entry), draw("entry-radius", entry)
        inflow += _enters(grid, x, y, radius, rate, building.wall.evaporation)
    return Contribution(owner, gravity=draw("gravity", owner), inflow=inflow)


def water_from_above(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Water that reaches the wall head, along part or all of it, and is drawn down."""
    owner = "water-from-above"
    run = along(draw, building.grid, owner)
    wet = potential_of(draw("head-wetness", owner), building.exponent)
    return Contribution(owner, gravity=draw("gravity", owner), head=np.where(run > 0, wet, np.nan))


def running_down(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Water that runs down behind one upright line, a downpipe or a joint, and enters all along it."""
    owner, grid = "running-down", building.grid
    x = draw.note("line-x", draw.random.uniform(0.1, 0.9) * grid.width_mm, owner)
    foot, top = draw("streak-foot", owner) * grid.height_mm, draw("streak-top", owner) * grid.height_mm
    column = np.abs(grid.x - x) == np.abs(grid.x - x).min()
    rows = (grid.y >= foot) & (grid.y <= top)
    per_minute = draw("streak-rate", owner) / MINUTES_PER_DAY / (grid.step_mm / 1000)
    inflow = np.outer(rows, column) * per_minute / building.wall.evaporation
    return Contribution(owner, gravity=draw("gravity", owner), inflow=inflow)


def drying_out(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """A wall wet through from wet trades or a flood above its head, drying a little faster towards one side."""
    owner, grid = "drying-out", building.grid
    across = np.linspace(-1, 1, len(grid.x)) * draw("drying-spread", owner)
    if draw.chance(0.5):
        across = -across
    return Contribution(owner, still_water=np.ones((len(grid.y), 1)) * draw("remaining-water", owner) * (1 + across))
