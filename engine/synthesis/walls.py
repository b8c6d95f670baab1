"""One made-up wall at a time: building, mechanisms, state, meters, places, readings, and what is true of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

import numpy as np

from engine.case.models import Area, Case, Dwelling, Feature, Instrument, Surface, Visit
from engine.synthesis.air import cold_corner, surface_condensation
from engine.synthesis.metal import dry, metal_bead
from engine.synthesis.meters import draw_meters
from engine.synthesis.naming import shape_of
from engine.synthesis.places import draw_places
from engine.synthesis.pressing import draw_zone, gains, readings
from engine.synthesis.ranges import Draw
from engine.synthesis.state import Building, Contribution, State, compose, draw_building
from engine.synthesis.truth import seen_by, truth
from engine.synthesis.water import (
    HIGHEST_RISE,
    LOWEST_RISE,
    capillary_rise,
    driven_rain,
    drying_out,
    point_leak,
    residual_salts,
    rise_height,
    running_down,
    water_from_above,
)

Mechanism = Callable[[Draw, Building, float], Contribution]

MECHANISMS: Mapping[str, Mechanism] = MappingProxyType(
    {
        "capillary-rise": capillary_rise,
        "residual-salts": residual_salts,
        "point-leak": point_leak,
        "driven-rain": driven_rain,
        "water-from-above": water_from_above,
        "running-down": running_down,
        "surface-condensation": surface_condensation,
        "drying-out": drying_out,
        "cold-corner": cold_corner,
        "metal-bead": metal_bead,
        "dry": dry,
    }
)
"""What each mechanism brings to a wall, by id."""

DRY_SHARE, MIXED_SHARE, OTHER_MATERIAL_SHARE = 0.1, 0.3, 0.2
"""Shares of walls that are dry, that two mechanisms wet together, that change material part of the way."""

NEVER_MIXED = ("dry", "drying-out")
"""A dry wall has no second mechanism, and a wall wet through hides any."""

PLASTER = "plaster"
VISIT = "visit"


@dataclass(frozen=True, slots=True)
class MadeWall:
    """A made-up wall and the truth about it.

    ``shapes`` are the shapes that its mechanisms make (none for metal); ``nameable`` is the one that a surveyor would
    name from these places, None where no one could; ``allowed`` are the shapes whose naming is not wrong.
    """

    seed: int
    surface: Surface
    instruments: tuple[Instrument, ...]
    mechanisms: tuple[str, ...]
    shapes: tuple[str, ...]
    nameable: str | None
    allowed: frozenset[str]
    parameters: Mapping[str, float]

    def case(self) -> Case:
        """The wall as a case of one visit and one area, labelled as invented."""
        visit = Visit(id=VISIT, on=date(2025, 1, 15), instruments=self.instruments)
        area = Area(id="area", title="Made-up wall", surfaces=(self.surface,))
        return Case(
            format=1,
            id=f"made-up-{self.seed}",
            title="Made-up wall",
            invented=True,
            dwelling=Dwelling(title="Made-up dwelling"),
            visits=(visit,),
            areas=(area,),
        )


def make_walls(first_seed: int, count: int) -> Iterator[MadeWall]:
    """Walls of consecutive seeds, drawn in the stated shares."""
    return (make_wall(seed) for seed in range(first_seed, first_seed + count))


def make_wall(seed: int, *, mechanism: str | None = None, mixed: bool | None = None) -> MadeWall:
    """A wall of a seed: the same seed and wishes give the same wall.

    ``mechanism`` is the only or first mechanism, one of `MECHANISMS`; ``mixed`` whether a second one joins it. Left
    out, each is drawn in the stated shares. ValueError for an unknown mechanism, or one that cannot be mixed.
    """
    draw = Draw(np.random.default_rng(seed))
    return wall_of(seed, _mechanisms(draw, mechanism, mixed), draw)


def wall_of(seed: int, names: tuple[str, ...], draw: Draw) -> MadeWall:
    """A wall that the named mechanisms of `MECHANISMS`, any number of them, make together, drawn with ``draw``."""
    building, rise_mm = building_of(draw)
    parts = {name: MECHANISMS[name](draw, building, rise_mm) for name in names}
    state = compose(building, rise_mm, list(parts.values()))
    zone = draw_zone(draw, state) if draw.chance(OTHER_MATERIAL_SHARE) else None
    materials = (PLASTER,) if zone is None else (PLASTER, zone.material)
    meters = draw_meters(draw, materials)
    places = draw_places(draw, state)
    touches = draw.random.random(places.x_mm.size)

    by_meter = [(meter, gains(meter, zone, places)) for meter in meters]
    states = {name: compose(building, rise_mm, [part]) for name, part in parts.items()} if len(names) > 1 else {}
    alone = {
        name: [seen_by(meter, states.get(name, state), places, touches, gain) for meter, gain in by_meter]
        for name in names
    }
    together = [seen_by(meter, state, places, touches, gain) for meter, gain in by_meter]
    true = truth(alone, together, state, draw.drawn)
    pressed = tuple(readings(draw, state, meters, places, touches, zone, VISIT))
    surface = Surface(
        id="wall",
        kind="wall",
        width_mm=building.grid.width_mm,
        height_mm=building.grid.height_mm,
        material=PLASTER,
        zones=() if zone is None else (zone,),
        features=features_of(state),
        readings=pressed,
        dry_references=tuple(meter.reference(draw.random, name, VISIT) for meter in meters for name in materials),
    )
    return MadeWall(
        seed=seed,
        surface=surface,
        instruments=tuple(meter.instrument for meter in meters),
        mechanisms=names,
        shapes=tuple(dict.fromkeys(s for name in names if (s := shape_of(name, draw.drawn)) is not None)),
        nameable=true.nameable,
        allowed=true.allowed,
        parameters=MappingProxyType(dict(sorted(draw.drawn.items()))),
    )


def _mechanisms(draw: Draw, wanted: str | None, mixed: bool | None) -> tuple[str, ...]:
    """The mechanisms of a wall: as wished, else in the stated shares, each as often as the others."""
    if wanted is not None and wanted not in MECHANISMS:
        raise ValueError(f"mechanism: found {wanted!r}; allowed: {', '.join(MECHANISMS)}")
    if mixed and wanted in NEVER_MIXED:
        raise ValueError(f"mixed: found True with {wanted}; allowed: False, for it is never mixed")
    lot = draw.random.random()
    if wanted is None and mixed is None and lot < DRY_SHARE:
        return ("dry",)
    if mixed is None:
        mixed = wanted not in NEVER_MIXED and lot >= 1 - MIXED_SHARE
    choices = [name for name in MECHANISMS if name not in (NEVER_MIXED if mixed else ("dry",))]
    first = wanted or str(draw.random.choice(choices))
    if not mixed:
        return (first,)
    return (first, str(draw.random.choice([name for name in choices if name != first])))


def building_of(draw: Draw) -> tuple[Building, float]:
    """A wall whose balance height is one that is met with; others are drawn again."""
    for _ in range(1000):
        building = draw_building(draw)
        rise_mm = rise_height(draw, building, "balance-height")
        if LOWEST_RISE <= rise_mm <= HIGHEST_RISE:
            return building, rise_mm
    raise RuntimeError("no wall within the stated ranges has a balance height that is met with")


def features_of(state: State) -> tuple[Feature, ...]:
    """The arrises along which metal runs: what a reader sees of it."""
    return tuple(
        Feature(
            id=f"arris-{number}",
            kind="arris",
            shape="line",
            x_mm=line.x_mm,
            y_mm=line.from_y_mm,
            to_x_mm=line.x_mm,
            to_y_mm=line.to_y_mm,
        )
        for number, line in enumerate(state.metal, 1)
    )
