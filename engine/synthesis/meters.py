"""What meters show of a wall's state: response of pins and capacitance, other materials, scatter of presses.

Pins see the first centimetre: its water, salts and film conduct side by side. The field of a capacitance meter falls
off exponentially with depth, over the first centimetre and what lies behind it. Both saturate long before the material
does. Neither scale is percent of water in masonry.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from engine.case.models import DryReference, Instrument
from engine.case.words import InstrumentMode
from engine.synthesis.flow import Field
from engine.synthesis.ranges import Draw
from engine.synthesis.state import State

SKIN_MM = 10.0
"""Depth that pins reach [mm]: tips reach 1 to 10 (common practice)."""

CONTACT_MM = 8.0
"""How near to a strip of metal a press must be for its pins to touch it [mm]."""

PRESS_SPREAD = 0.10
"""Scatter of repeated presses as a share of the excess (standard deviation), on top of a floor."""

POINTS_OF_WOOD_SCALE = 30.0
"""Points from the foot of a wood scale to fibre saturation: a floor in points is that share of any scale's span."""


@dataclass(frozen=True, slots=True)
class Meter:
    """One meter in one mode: its scale, its response from dry to saturated plaster, its scatter.

    ``dry``, ``span`` and the scatters are on the scale; ``gains`` says how other materials read against plaster.
    ``press_spread`` is a share of the excess; a press ``furthest`` standard deviations off is made again.
    """

    id: str
    mode: InstrumentMode
    top: float
    step: float
    dry: float
    span: float
    bend: float
    field_depth_mm: float
    floor: float
    dry_scatter: float
    unevenness: float
    gains: dict[str, float]
    press_spread: float = PRESS_SPREAD
    furthest: float = math.inf

    @property
    def instrument(self) -> Instrument:
        """The meter as a case lists it."""
        if self.mode != "capacitance":
            return Instrument(id=self.id, mode=self.mode, scale="wood-percent", full_scale=self.top)
        return Instrument(id=self.id, mode=self.mode, scale="relative", full_scale=self.top)

    def excess(self, state: State, x_mm: Field, y_mm: Field, touches: Field) -> Field:
        """What the wall at places [mm] raises the reading by on plaster, without any scatter [scale].

        ``touches`` says at each place whether a press reaches the metal beneath it, if there is any.
        """
        grid = state.grid
        skin, inside, conducting, in_field = (
            grid.at(values, x_mm, y_mm) for values in (state.skin, state.inside, state.conducting, state.in_field)
        )
        if self.mode == "pins":
            wet = self._bent(skin)
            wet = 1 - (1 - wet) * (1 - np.minimum(conducting, 1.0))
        else:
            share = 1 - np.exp(-SKIN_MM / self.field_depth_mm)
            wet = self._bent(share * skin + (1 - share) * inside)
            wet = 1 - (1 - wet) * (1 - np.minimum(in_field, 1.0))
        for line in state.metal:
            off = np.abs(x_mm - line.x_mm)
            beside = (y_mm >= line.from_y_mm) & (y_mm <= line.to_y_mm)
            if self.mode == "pins":
                wet = wet + line.pins * (beside & (off <= CONTACT_MM) & (touches < line.contact))
            else:
                wet = wet + line.in_field * np.exp(-((off / line.reach_mm) ** 2)) * beside
        return np.asarray(self.span * wet)

    def depth_excess(self, state: State, x_mm: Field, y_mm: Field) -> Field:
        """What insulated pins show of the water behind the skin, without any scatter [scale]; salts lie before it."""
        return np.asarray(self.span * self._bent(state.grid.at(state.inside, x_mm, y_mm)))

    def _bent(self, wet: Field) -> Field:
        return np.asarray(np.expm1(-self.bend * wet) / np.expm1(-self.bend))

    def press(self, random: np.random.Generator, level: float, excess: float, presses: int) -> list[float]:
        """Presses at one place whose true level and excess are given, within the scale and to its finest step."""
        spread = self.press_spread * abs(excess) + self.floor
        off = np.clip(random.normal(0, 1, presses), -self.furthest, self.furthest) * spread
        values = np.clip(level + off, 0, self.top)
        return [float(np.clip(round(round(value / self.step) * self.step, 6), 0, self.top)) for value in values]

    def reference(self, random: np.random.Generator, material: str, visit: str) -> DryReference:
        """Three presses on a dry place of a material, which lies as far off the mean as any dry place may."""
        level = self.dry * self.gains[material] + random.normal(0, self.dry_scatter)
        value, *repeats = self.press(random, level, 0.0, 3)
        return DryReference(instrument=self.id, material=material, value=value, repeats=tuple(repeats), visit=visit)


def draw_meters(
    draw: Draw, materials: tuple[str, ...], carried: str | None = None, top: float | None = None
) -> tuple[Meter, ...]:
    """Pins, capacitance or, mostly, both, as one person would carry them; or as ``carried`` and ``top`` say."""
    floor, scatter, uneven = draw("press-floor"), draw("dry-scatter"), draw("unevenness")
    if carried is None:
        carried = str(draw.random.choice(["both", "pins", "capacitance"], p=[0.8, 0.12, 0.08]))
    if top is None:
        top = float(draw.random.choice([100.0, 1000.0]))
    meters = []
    for mode, scale in (("pins", 1.0), ("capacitance", top)):
        gains = {name: 1.0 if n == 0 else draw("material-shift", f"{mode}-{name}") for n, name in enumerate(materials)}
        share = 1.0 if mode == "pins" else top / POINTS_OF_WOOD_SCALE
        meter = Meter(
            id=mode,
            mode="pins" if mode == "pins" else "capacitance",
            top=60.0 if mode == "pins" else top,
            step=0.1 if mode == "pins" else top / 1000,
            dry=draw(f"{mode}-dry") * scale,
            span=draw(f"{mode}-span") * scale,
            bend=draw(f"{mode}-bend"),
            field_depth_mm=draw("field-depth", mode),
            floor=floor * share,
            dry_scatter=scatter * share,
            unevenness=uneven,
            gains=gains,
        )
        if carried in ("both", mode):
            meters.append(meter)
    return tuple(meters)
