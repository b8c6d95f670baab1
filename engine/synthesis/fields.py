"""The wall of a made-up case: which fields its causes make on it, and what three meters read there.

A cause names its fields in its record (``on_walls``). They are those of the made-up walls, and a few that only whole
cases need: water pressed through a retained wall, a damp foot over a bare slab, water behind a dry skin, salts in a
patch, and the two ways in which a person or a meter makes readings of nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from engine.case.models import Reading, ReferenceCheck, Surface
from engine.synthesis.flow import Field
from engine.synthesis.metal import dry
from engine.synthesis.meters import Meter, draw_meters
from engine.synthesis.places import Places, draw_places
from engine.synthesis.pressing import readings
from engine.synthesis.ranges import Draw
from engine.synthesis.state import Building, Contribution, State, compose
from engine.synthesis.walls import MECHANISMS, PLASTER, VISIT, Mechanism, features_of

SURFACE = "wall"
DEEP_MM = 80.0
"""How deep the tips of deep pins lie [mm]."""

STEADY_SPREAD, STEADY_FURTHEST = 0.04, 2.2
"""How a practised hand scatters: as a share of the excess, and by how many standard deviations at most (judgement)."""

SCATTERED, RAISED_ALIKE = "presses-that-scatter", "readings-raised-alike"
"""Fields of no water at all: the presses differ by as much as damp does, or every place reads high by as much."""


def ground_water_through_wall(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Water pressed through the wall all over, as high as the ground stands outside."""
    owner, grid = "ground-water-through-wall", building.grid
    top = draw("retained-height", owner) * grid.height_mm
    rate = draw("seepage-rate", owner) / 1440 / building.wall.evaporation
    inflow = np.where(grid.y[:, None] <= top, rate, 0.0) * np.ones((1, len(grid.x)))
    return Contribution(owner, inflow=inflow)


def wall_foot(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """A damp strip at the very foot, drawn from a slab without a membrane."""
    owner, grid = "wall-foot", building.grid
    reach, wet = draw("slab-reach", owner), draw("foot-wetness", owner)
    up = np.clip(1 - grid.y[:, None] / reach, 0, None)
    return Contribution(owner, still_water=wet * up * np.ones((1, len(grid.x))))


def wet_behind_dry_skin(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Water behind a skin that has dried, or behind a lining: a broad patch that only depth shows."""
    owner, grid = "wet-behind-dry-skin", building.grid
    x, y = grid.mesh
    across = draw.note("x", draw.random.uniform(0.2, 0.8) * grid.width_mm, owner)
    up = draw.note("y", draw.random.uniform(0.3, 0.8) * grid.height_mm, owner)
    wide, high = draw("hidden-width", owner), draw("hidden-height", owner)
    away = ((x - across) / wide) ** 2 + ((y - up) / high) ** 2
    return Contribution(owner, hidden_water=draw("hidden-wetness", owner) * np.exp(-away))


def salts_in_a_patch(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Salts that came through from a flue: a patch at middle height or above, and no water."""
    owner, grid = "salts-in-a-patch", building.grid
    x, y = grid.mesh
    across = draw.note("x", draw.random.uniform(0.25, 0.75) * grid.width_mm, owner)
    up = draw.note("y", draw.random.uniform(0.4, 0.8) * grid.height_mm, owner)
    away = ((x - across) / draw("stain-width", owner)) ** 2 + ((y - up) / draw("stain-height", owner)) ** 2
    strength = draw("salt-strength", owner)
    return Contribution(owner, salts=strength * np.exp(-away), salts_in_field=draw("salt-in-field", owner))


FIELDS: Mapping[str, Mechanism] = {
    **MECHANISMS,
    "ground-water-through-wall": ground_water_through_wall,
    "wall-foot": wall_foot,
    "wet-behind-dry-skin": wet_behind_dry_skin,
    "salts-in-a-patch": salts_in_a_patch,
    SCATTERED: dry,
    RAISED_ALIKE: dry,
}
"""What each field brings to the wall of a made-up case, by the word that a cause's record uses."""


@dataclass(frozen=True, slots=True)
class ReadWall:
    """The wall of a made-up case: its state, its salts, the meters, and the surface with all readings on it.

    ``worst_x_mm`` is where it is worst in truth, wet or salted, and where samples are drilled.
    """

    building: Building
    state: State
    salts: Field
    meters: tuple[Meter, ...]
    surface: Surface
    worst_x_mm: float


def read_wall(
    draw: Draw, building: Building, rise_mm: float, fields: Sequence[str], title: str, *, deep: bool
) -> ReadWall:
    """A wall on which the fields lie together, read with both meters and, if wished, with deep pins."""
    parts = [FIELDS[name](draw, building, rise_mm) for name in fields or ("dry",)]
    state = compose(building, rise_mm, parts)
    carried = draw_meters(draw, (PLASTER,), carried="both", top=100.0)
    true = tuple(replace(meter, press_spread=STEADY_SPREAD, furthest=STEADY_FURTHEST) for meter in carried)
    meters = tuple(_in_use(meter, fields) for meter in true)
    places = draw_places(draw, state)
    touches = draw.random.random(places.x_mm.size)
    pressed = list(readings(draw, state, meters, places, touches, None, VISIT))
    if deep:
        long_pins = replace(true[0], id="deep-pins", mode="deep-pins")
        true = (*true, long_pins)
        pressed += _deep(draw, state, _in_use(long_pins, fields), places, _worst_read(meters, state, places, touches))
    references = [meter.reference(draw.random, PLASTER, VISIT) for meter in true]
    salts = sum((part.salts for part in parts if part.salts is not None), np.zeros(state.skin.shape))
    surface = Surface(
        id=SURFACE,
        kind="wall",
        title=title,
        width_mm=building.grid.width_mm,
        height_mm=building.grid.height_mm,
        material=PLASTER,
        features=features_of(state),
        readings=tuple(pressed),
        dry_references=tuple(references),
    )
    worst = int(np.argmax((state.inside + state.conducting).max(axis=0)))
    return ReadWall(building, state, np.asarray(salts), true, surface, float(building.grid.x[worst]))


def check_of(draw: Draw, meter: Meter, fails: bool) -> ReferenceCheck:
    """A check of a meter on its own reference, within its tolerance or well outside it."""
    expected, tolerance = round(meter.dry + 0.5 * meter.span, 1), round(0.04 * meter.span, 2)
    off = (3 + draw.random.random()) * tolerance if fails else draw.random.uniform(-0.7, 0.7) * tolerance
    return ReferenceCheck(expected=expected, tolerance=tolerance, result=round(float(expected + off), 2))


def _worst_read(meters: Sequence[Meter], state: State, places: Places, touches: Field) -> float:
    """Where the meters together read highest, each against its own span [mm]; the middle where nothing was read."""
    if not places.x_mm.size:
        return state.grid.width_mm / 2
    read = sum(meter.excess(state, places.x_mm, places.y_mm, touches) / meter.span for meter in meters)
    return float(places.x_mm[int(np.argmax(read))])


def _in_use(meter: Meter, fields: Sequence[str]) -> Meter:
    """The meter as it reads the wall, unsteady or high where it is misused; on the dry reference it reads true."""
    if SCATTERED in fields:
        meter = replace(meter, floor=0.16 * meter.span, furthest=np.inf)
    if RAISED_ALIKE in fields:
        meter = replace(meter, dry=meter.dry + 0.3 * meter.span)
    return meter


def _deep(draw: Draw, state: State, meter: Meter, places: Places, x_mm: float) -> list[Reading]:
    """Deep pins beside the surface pins of the worst column, up to five heights of it."""
    here = np.flatnonzero(np.abs(places.x_mm - x_mm) <= 60)
    chosen = here[np.unique(np.linspace(0, len(here) - 1, min(5, len(here))).astype(int))] if len(here) else here
    found = []
    for place in chosen:
        x, y = float(places.x_mm[place]), float(places.y_mm[place])
        excess = float(meter.depth_excess(state, np.array([x]), np.array([y]))[0])
        level = meter.dry + float(draw.random.normal(0, meter.dry_scatter)) + excess
        value, *repeats = meter.press(draw.random, level, excess, 2)
        found.append(
            Reading(
                x_mm=round(min(x + 20, state.grid.width_mm)),
                y_mm=y,
                instrument=meter.id,
                value=value,
                repeats=tuple(repeats),
                depth_mm=DEEP_MM,
                visit=VISIT,
            )
        )
    return found
