"""The state of a made-up wall: what each mechanism brings to it, and what all of them together leave in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engine.measures.rise import Wall
from engine.synthesis.flow import Field, Grid, potential, wetness
from engine.synthesis.ranges import Draw


@dataclass(frozen=True, slots=True)
class Building:
    """What the wall is: its grid, its water household (Hall and Hoff), how wetness and flow go together."""

    grid: Grid
    wall: Wall
    exponent: float
    skin_share: float


@dataclass(frozen=True, slots=True)
class MetalLine:
    """A straight upright strip of metal just under the surface [mm]: what pins show on it and the field near it."""

    x_mm: float
    from_y_mm: float
    to_y_mm: float
    contact: float
    pins: float
    in_field: float
    reach_mm: float


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one mechanism brings: water (in flow, or held in place), salts, a film, metal.

    Arrays are of the grid's shape (rows, columns) or, at the edges, one value per column; None where there is none.
    Water is in units of evaporation (``inflow``) or shares of saturation; ``hidden_water`` lies behind a dry skin.
    Salts and film are in shares of the conductance of saturated material.
    """

    mechanism: str
    rise_mm: float | None = None
    gravity: float = 0.0
    inflow: Field | None = None
    foot: Field | None = None
    head: Field | None = None
    still_water: Field | None = None
    hidden_water: Field | None = None
    salts: Field | None = None
    salts_in_field: float = 0.0
    film: Field | None = None
    film_in_field: float = 0.0
    metal: tuple[MetalLine, ...] = ()


@dataclass(frozen=True, slots=True)
class State:
    """What the meters meet, in arrays of the grid's shape, and metal.

    Water in the first centimetre and behind it in shares of saturation; of salts and film together the conductance
    and the effect on a field, in shares of those of saturated material.
    """

    grid: Grid
    skin: Field
    inside: Field
    conducting: Field
    in_field: Field
    metal: tuple[MetalLine, ...]


def draw_building(draw: Draw) -> Building:
    """A wall within the stated ranges."""
    grid = Grid(50 * round(draw("wall-width") / 50), 50 * round(draw("wall-height") / 50))
    wall = Wall(draw("wall-thickness"), draw("sorptivity"), draw("evaporation"), draw("wet-content"))
    draw.note("wall-width", grid.width_mm)
    draw.note("wall-height", grid.height_mm)
    return Building(grid, wall, draw("diffusivity-exponent"), draw("skin-share"))


def compose(building: Building, rise_mm: float, parts: Sequence[Contribution]) -> State:
    """The state that all contributions leave together; ``rise_mm`` is the balance height of the wall's own water.

    Flowing water is solved for all sources at once, so that two of them share the evaporation between them.
    """
    grid = building.grid
    shape = (len(grid.y), len(grid.x))
    inflow = sum((part.inflow for part in parts if part.inflow is not None), np.zeros(shape))
    foot, head = _edge([part.foot for part in parts], shape[1]), _edge([part.head for part in parts], shape[1])
    inside = np.zeros(shape)
    if np.any(inflow) or not (np.isnan(foot).all() and np.isnan(head).all()):
        pull = max(part.gravity for part in parts)
        inside = wetness(potential(grid, rise_mm, inflow, foot, head, pull), building.exponent)
    for part in parts:
        if part.still_water is not None:
            inside = np.maximum(inside, part.still_water)
    skin = building.skin_share * inside
    for part in parts:
        if part.hidden_water is not None:
            inside = np.maximum(inside, part.hidden_water)
    conducting, in_field = np.zeros(shape), np.zeros(shape)
    for part in parts:
        for added, share in ((part.salts, part.salts_in_field), (part.film, part.film_in_field)):
            if added is not None:
                conducting += added
                in_field += share * added
    metal = tuple(line for part in parts for line in part.metal)
    return State(grid, skin, inside, conducting, in_field, metal)


def _edge(held: Sequence[Field | None], columns: int) -> Field:
    edges = [np.full(columns, np.nan), *(edge for edge in held if edge is not None)]
    return np.asarray(np.fmax.reduce(edges))
