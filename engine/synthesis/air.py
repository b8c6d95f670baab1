"""Mechanisms of the air: a film of moisture where the surface is cold, over the whole wall or along a corner.

A surface at θs = θi − (1 − f)·(θi − θe) meets air of vapour pressure p, so that its humidity is p/psat(θs) (the
temperature factor f of EN ISO 13788). Near a corner f falls off by a drop that fades exponentially with distance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.measures.psychrometrics import saturation_vapour_pressure
from engine.measures.wood import equilibrium_moisture_content
from engine.synthesis.flow import Field, Grid
from engine.synthesis.ranges import Draw
from engine.synthesis.state import Building, Contribution

DRYEST_AIR, DAMPEST_AIR = 35.0, 85.0
"""Room humidities that are kept [%]: a draw that needs other air is made again."""

DAMPEST_PLAIN = 78.0
"""Humidity [%] at the plain wall that is kept beside a cold corner: more would be damp all over."""

JUNCTIONS = ("left", "right", "floor", "ceiling")


@dataclass(frozen=True, slots=True)
class Climate:
    """Room and outside temperature [°C], room humidity [%], temperature factor of the plain wall."""

    room_c: float
    outside_c: float
    humidity_percent: float
    factor: float

    @property
    def pressure_pa(self) -> float:
        """Vapour pressure of the room air [Pa]."""
        return self.humidity_percent / 100 * float(saturation_vapour_pressure(self.room_c))


def _climate(draw: Draw, owner: str, wanted: str, drop: float = 0.0) -> Climate:
    """A climate in which a surface whose factor is ``drop`` below the plain wall's comes to the wanted humidity.

    Where the room's humidity is fixed for this owner, so is all of its climate.
    """
    if f"{owner}.room-humidity" in draw.fixed:
        room, outside = draw("room-temperature", owner), draw("outside-temperature", owner)
        humidity = draw.note("room-humidity", draw.fixed[f"{owner}.room-humidity"], owner)
        return Climate(room, outside, humidity, draw("surface-factor", owner))
    for _ in range(1000):
        room, outside = draw("room-temperature", owner), draw("outside-temperature", owner)
        factor, humidity = draw("surface-factor", owner), draw(wanted, owner)
        surface = room - (1 - factor + drop) * (room - outside)
        pressure = humidity / 100 * float(saturation_vapour_pressure(surface))
        air = 100 * pressure / float(saturation_vapour_pressure(room))
        plain = 100 * pressure / float(saturation_vapour_pressure(room - (1 - factor) * (room - outside)))
        if DRYEST_AIR <= air <= DAMPEST_AIR and (not drop or plain <= DAMPEST_PLAIN):
            return Climate(room, outside, draw.note("room-humidity", air, owner), factor)
    raise RuntimeError("no climate within the stated ranges gives this surface humidity")


def _film(grid: Grid, climate: Climate, drop: Field, layering: float) -> Field:
    """Conductance of the surface film against saturated material, from the humidity at the surface.

    As the moisture that wood comes to at that humidity, over that of an inner wall in the room's air, against that of
    saturated air: a pin meter's scale on other materials is the moisture of wood in balance with them.
    """
    height = grid.mesh[1] / grid.height_mm
    surface = climate.room_c - (1 - climate.factor + drop) * (climate.room_c - climate.outside_c)
    surface = surface + layering * (height - 0.5)
    humidity = np.clip(100 * climate.pressure_pa / np.asarray(saturation_vapour_pressure(surface)), 0, 100)
    wood = np.asarray(equilibrium_moisture_content(surface, humidity))
    dry = float(equilibrium_moisture_content(climate.room_c, climate.humidity_percent))
    saturated = float(equilibrium_moisture_content(climate.room_c, 100.0))
    return np.asarray(np.clip((wood - dry) / (saturated - dry), 0, None))


def surface_condensation(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Damp air on a cold wall: a film all over it, a little more at its edges and at its foot."""
    owner, grid = "surface-condensation", building.grid
    climate = _climate(draw, owner, "plain-humidity")
    x, y = grid.mesh
    edge = np.minimum.reduce([x, grid.width_mm - x, y, grid.height_mm - y])
    drop = draw("edge-drop", owner) * np.exp(-edge / draw("corner-reach", owner))
    film = _film(grid, climate, drop, draw("layering", owner))
    return Contribution(owner, film=film, film_in_field=draw("film-in-field", owner))


def cold_corner(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """A cold junction with another wall, the floor or the ceiling, where ordinary room air comes near its dew point."""
    owner, grid = "cold-corner", building.grid
    junction = int(draw.note("junction", float(draw.random.integers(len(JUNCTIONS))), owner))
    drop = draw("corner-drop", owner)
    climate = _climate(draw, owner, "corner-humidity", drop)
    x, y = grid.mesh
    distance = (x, grid.width_mm - x, y, grid.height_mm - y)[junction]
    falling = drop * np.exp(-distance / draw("corner-reach", owner))
    film = _film(grid, climate, falling, draw("layering", owner))
    return Contribution(owner, film=film, film_in_field=draw("film-in-field", owner))
