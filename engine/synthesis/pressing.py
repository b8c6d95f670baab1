"""The readings of a made-up wall: levels on the wall's materials, unevenness, presses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from engine.case.models import Reading, Zone
from engine.synthesis.flow import Field
from engine.synthesis.meters import Meter
from engine.synthesis.places import Places
from engine.synthesis.ranges import Draw
from engine.synthesis.state import State

PRESSES, PRESS_SHARES = (1, 2, 3), (0.25, 0.15, 0.6)
"""Presses at a place, and the share of people who make that many; who makes one repeats it at every fourth place."""

OTHER_MATERIALS = ("render", "gypsum-board")


def draw_zone(draw: Draw, state: State) -> Zone:
    """Another material over part of the wall: a rendered dado, or boards to one side."""
    width, height = state.grid.width_mm, state.grid.height_mm
    if draw.chance(0.5):
        top = float(round(draw.random.uniform(0.35, 0.55) * height))
        return Zone(id="dado", material=OTHER_MATERIALS[0], x_mm=0.0, y_mm=0.0, to_x_mm=width, to_y_mm=top)
    start = float(round(draw.random.uniform(0.4, 0.7) * width))
    return Zone(id="boards", material=OTHER_MATERIALS[1], x_mm=start, y_mm=0.0, to_x_mm=width, to_y_mm=height)


def on_zone(zone: Zone | None, places: Places) -> np.ndarray:
    """Which places lie on the zone."""
    if zone is None:
        return np.zeros(places.x_mm.size, dtype=bool)
    x, y = places.x_mm, places.y_mm
    return np.asarray((x >= zone.x_mm) & (x <= zone.to_x_mm) & (y >= zone.y_mm) & (y <= zone.to_y_mm))


def gains(meter: Meter, zone: Zone | None, places: Places) -> Field:
    """How a meter reads at each place against plaster."""
    other = 1.0 if zone is None else meter.gains[zone.material]
    return np.where(on_zone(zone, places), other, 1.0)


def readings(
    draw: Draw, state: State, meters: Sequence[Meter], places: Places, touches: Field, zone: Zone | None, visit: str
) -> Iterator[Reading]:
    """Every place pressed with every meter, column by column upward."""
    presses = int(draw.note("presses", draw.random.choice(PRESSES, p=PRESS_SHARES)))
    count = places.x_mm.size
    for meter in meters:
        excess = meter.excess(state, places.x_mm, places.y_mm, touches)
        excess = excess * np.clip(1 + draw.random.normal(0, meter.unevenness, count), 0, None)
        gain = gains(meter, zone, places)
        dry = meter.dry + draw.random.normal(0, meter.dry_scatter, count)
        for place in range(count):
            times = 3 if presses == 1 and place % 4 == 0 else presses
            level, own = gain[place] * (dry[place] + excess[place]), gain[place] * excess[place]
            value, *repeats = meter.press(draw.random, float(level), float(own), times)
            yield Reading(
                x_mm=float(places.x_mm[place]),
                y_mm=float(places.y_mm[place]),
                instrument=meter.id,
                value=value,
                repeats=tuple(repeats),
                visit=visit,
            )
