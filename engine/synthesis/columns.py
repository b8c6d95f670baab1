"""Drilled samples and timber of a made-up case, that agree with the water and salts of its wall and with its air."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from engine.case.models import Ion, Sample, TimberReading
from engine.case.words import IonName
from engine.measures.wood import equilibrium_moisture_content, reading_of_moisture
from engine.synthesis.climates import Climate
from engine.synthesis.fields import SURFACE, ReadWall
from engine.synthesis.flow import Field
from engine.synthesis.ranges import Draw
from engine.synthesis.walls import VISIT

HEIGHTS_MM = (120.0, 400.0, 700.0, 1000.0, 1400.0)
"""Heights of a drilled column [mm] (common practice: just above the skirting, then every 150 to 300 mm to 1.5 m)."""

IONS: tuple[IonName, ...] = ("nitrate", "chloride", "sulphate", "ammonium")
BOUND = 0.05
"""Share of saturation that pores hold against the air, and that is no free water (judgement)."""

SALTED = 0.05
"""Conductance of the wall's own salts, against saturated material, from which samples follow them."""


def columns(draw: Draw, wall: ReadWall, density: float) -> Iterator[tuple[Sample, ...]]:
    """Endless columns through the wettest place, all with the free water of the wall, and with salts where it has any.

    Free water is the wall's own, by volume, over the dry ``density`` of its masonry [kg/l]. Salts take up water in
    proportion to their amount; in the room's drier air they hold a part of what they hold at 75 %. Where the wall's
    readings say nothing of salts, their amount and height are free, as a small load does not show on a meter.
    """
    grid = wall.state.grid
    heights = np.array([height for height in HEIGHTS_MM if height < grid.height_mm - 100])
    across = np.full(heights.shape, wall.worst_x_mm)
    wet = grid.at(wall.state.inside, across, heights)
    free = 100 * np.clip(wet - BOUND, 0, None) * wall.building.wall.water_content / density
    own = grid.at(wall.salts, across, heights)
    while True:
        plain = draw("hygroscopic-plain", "samples") + draw.random.normal(0, 0.05, heights.size)
        salts = _salts(draw, wall, own, heights)
        taken_up = np.clip(plain + draw("hygroscopic-salts", "samples") * salts, 0.1, None)
        held = taken_up * draw("hygroscopic-held", "samples")
        found = np.where(free > 0, taken_up + free, held)
        dry_g = np.round(draw.random.uniform(2.4, 3.6, heights.size), 3)
        yield tuple(
            Sample(
                id=f"s{number + 1}",
                surface=SURFACE,
                x_mm=wall.worst_x_mm,
                y_mm=float(heights[number]),
                depth_from_mm=20.0,
                depth_to_mm=80.0,
                material="mortar",
                wet_g=_mass(dry_g[number], found[number]),
                conditioned_g=_mass(dry_g[number], taken_up[number]),
                dry_g=float(dry_g[number]),
                visit=VISIT,
            )
            for number in range(heights.size)
        )


def with_ions(
    draw: Draw, column: tuple[Sample, ...], limits: Mapping[str, float], states: Mapping[IonName, bool]
) -> tuple[Sample, ...]:
    """The column with the ions of its most hygroscopic sample, measured where load bands are published for them.

    ``states`` says of each ion whether there is any to speak of; ``limits`` are the parameters of the load bands.
    """
    ions = []
    for name, there in states.items():
        low, high = limits.get(f"{name}-low-limit"), limits.get(f"{name}-high-limit")
        if low is None or high is None:
            ions.append(Ion(name=name, band="medium" if there else "none"))
        else:
            ions.append(Ion(name=name, mass_percent=_load(draw, low, high) if there else 0.0))
    most = max(column, key=_taken_up)
    return tuple(one.model_copy(update={"ions": tuple(ions)}) if one is most else one for one in column)


def timbers(draw: Draw, climate: Climate, item: str) -> Iterator[TimberReading]:
    """Endless readings in one piece of timber: in balance with the room's air, or wetter by water that reaches it."""
    while True:
        celsius = round(draw.random.uniform(climate.plain_c, climate.room_c), 1)
        moisture = float(equilibrium_moisture_content(climate.room_c, climate.room_percent)) + draw.random.normal(
            0, 0.5
        )
        if draw.chance(0.6):
            moisture = max(moisture, draw("timber-moisture", "timber"))
        read = float(reading_of_moisture(moisture, celsius))
        presses = [round(float(np.clip(read + draw.random.normal(0, 0.3), 5, 60)), 1) for _ in range(3)]
        yield TimberReading(
            id="t1",
            item=item,
            instrument="pins",
            value=presses[0],
            repeats=tuple(presses[1:]),
            temperature_c=celsius,
            visit=VISIT,
        )


def _salts(draw: Draw, wall: ReadWall, own: Field, heights: Field) -> Field:
    if float(wall.salts.max()) >= SALTED:
        return np.asarray(np.clip(own, 0, None) / max(float(wall.salts.max()), SALTED))
    amount = draw("hidden-salts", "samples")
    peak, reach = draw.random.uniform(100, 1200), draw.random.uniform(150, 500)
    return np.asarray(amount * np.exp(-(((heights - peak) / reach) ** 2)))


def _mass(dry_g: float, percent: float) -> float:
    return round(float(dry_g * (1 + percent / 100)), 3)


def _load(draw: Draw, low: float, high: float) -> float:
    return round(float(draw.random.uniform(1.2 * low, 2 * high)), 2)


def _taken_up(sample: Sample) -> float:
    return (sample.conditioned_g or 0.0) / (sample.dry_g or 1.0)
