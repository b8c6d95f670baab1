"""What a made-up wall may be like: the range of every drawn number, with its unit and where the range comes from.

Lengths in millimetres [mm], times in days, temperatures in °C. A number is drawn evenly over its range, or
evenly over its logarithm where it ranges over sizes; nothing outside its range is ever drawn.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

HALL_HOFF = "Hall and Hoff 2007, at second hand: their worked example and its sensitivity"
JUDGEMENT = "judgement"


@dataclass(frozen=True, slots=True)
class Range:
    """Lowest and highest value, unit, source; ``by_size`` draws evenly over the logarithm."""

    low: float
    high: float
    unit: str
    source: str = JUDGEMENT
    by_size: bool = False


RANGES: dict[str, Range] = {
    # the wall
    "wall-width": Range(2400, 6000, "mm"),
    "wall-height": Range(2200, 2800, "mm"),
    "wall-thickness": Range(105, 500, "mm", "half-brick to stone walls, common practice", by_size=True),
    "sorptivity": Range(0.5, 2.0, "mm/min^½", HALL_HOFF, by_size=True),
    "evaporation": Range(0.0005, 0.002, "mm/min, both faces", HALL_HOFF, by_size=True),
    "wet-content": Range(0.15, 0.30, "by volume", HALL_HOFF),
    "diffusivity-exponent": Range(4.0, 7.0, "dimensionless", "brick and stone about 6, Hall and Hoff, from memory"),
    "gravity": Range(0.0003, 0.004, "1/mm", "pull of gravity in fine pores and open joints, judgement", by_size=True),
    "skin-share": Range(0.6, 1.0, "share of the moisture inside that the first centimetre holds"),
    "unevenness": Range(0.03, 0.10, "share of the excess (standard deviation)"),
    # moisture from the ground
    "ground-wetness": Range(0.6, 1.0, "share of saturation at the foot"),
    "ground-age": Range(90, 9000, "days since the water came", by_size=True),
    "run-share": Range(0.3, 0.8, "share of the wall's length, where not all of it"),
    "rise-salts": Range(0.0, 0.25, "conductance of the salts against saturated material"),
    # salts left behind
    "salt-strength": Range(0.35, 1.0, "conductance of the crest against saturated material"),
    "salt-dilution": Range(0.03, 0.25, "strength of the ground's solution against a saturated one", by_size=True),
    "season-swing": Range(0.1, 0.5, "share by which evaporation swings over the year"),
    "salt-spreading": Range(40, 120, "mm over which salts diffuse"),
    "salt-in-field": Range(0.15, 0.6, "share of the salts' effect that a capacitance meter shows"),
    "former-wetness": Range(0.0, 0.06, "share of saturation left where the wall was wet"),
    # water from a point, a line, the head of the wall, the rain
    "leak-rate": Range(0.5, 6.0, "litres a day", by_size=True),
    "leak-height": Range(0.35, 0.8, "share of the wall's height"),
    "entry-radius": Range(40, 150, "mm"),
    "head-wetness": Range(0.6, 1.0, "share of saturation at the wall head"),
    "streak-rate": Range(0.3, 1.0, "litres a day and metre", by_size=True),
    "streak-foot": Range(0.0, 0.25, "share of the wall's height"),
    "streak-top": Range(0.8, 1.0, "share of the wall's height"),
    "rain-rate": Range(0.3, 3.0, "litres a day and place of entry", by_size=True),
    # the air
    "room-temperature": Range(15, 21, "°C"),
    "outside-temperature": Range(-3, 8, "°C"),
    "surface-factor": Range(0.5, 0.75, "dimensionless", "uninsulated solid walls, EN ISO 13788 method, from memory"),
    "plain-humidity": Range(90, 100, "% at the plain surface"),
    "corner-humidity": Range(96, 100, "% at the very corner"),
    "corner-drop": Range(0.15, 0.35, "fall of the surface factor at the corner", "EN ISO 13788 method, from memory"),
    "edge-drop": Range(0.0, 0.05, "fall of the surface factor at the edges of a plain wall"),
    "corner-reach": Range(80, 250, "mm over which a cold corner fades to 1/e"),
    "layering": Range(0.0, 0.8, "K between floor and ceiling"),
    "film-in-field": Range(0.0, 0.15, "share of a surface film that a capacitance meter shows"),
    # a wall that dries out, or is wet through
    "remaining-water": Range(0.25, 0.85, "share of saturation"),
    "drying-spread": Range(0.0, 0.15, "share by which one side of the wall is ahead of the other"),
    # metal
    "metal-contact": Range(0.7, 1.0, "share of presses that touch the metal"),
    "metal-pins": Range(1.2, 3.0, "conductance against saturated material"),
    "metal-field": Range(0.5, 1.5, "effect on the field against saturated material"),
    "metal-reach": Range(15, 30, "mm from which the field feels a bead"),
    # the meters
    "pins-dry": Range(7, 12, "points on plaster that is dry"),
    "pins-span": Range(12, 20, "points from dry to saturated"),
    "pins-bend": Range(1.0, 2.5, "how soon pins saturate"),
    "capacitance-dry": Range(0.05, 0.20, "share of full scale on plaster that is dry"),
    "capacitance-span": Range(0.45, 0.75, "share of full scale from dry to saturated"),
    "capacitance-bend": Range(1.0, 2.5, "how soon the field saturates"),
    "field-depth": Range(8, 20, "mm at which the field falls to 1/e", "20 mm claimed, usually less: makers' claims"),
    "press-floor": Range(0.2, 0.5, "points on a wood scale (standard deviation)"),
    "dry-scatter": Range(0.2, 0.6, "points on a wood scale, between dry places (standard deviation)"),
    "material-shift": Range(0.75, 1.35, "ratio of another material's readings to the plaster's"),
    # the places
    "column-step": Range(400, 1500, "mm", by_size=True),
    "lowest-place": Range(50, 150, "mm"),
    "highest-place": Range(0.65, 0.96, "share of the wall's height"),
}


@dataclass(slots=True)
class Draw:
    """Draws from the ranges with one generator, and remembers every number drawn under its name."""

    random: np.random.Generator
    drawn: dict[str, float] = field(default_factory=dict)

    def __call__(self, name: str, owner: str = "") -> float:
        """A number of the range, remembered as ``name`` or ``owner.name``. KeyError for a name that is not listed."""
        limits = RANGES[name]
        if limits.by_size:
            value = float(np.exp(self.random.uniform(np.log(limits.low), np.log(limits.high))))
        else:
            value = float(self.random.uniform(limits.low, limits.high))
        return self.note(name, value, owner)

    def note(self, name: str, value: float, owner: str = "") -> float:
        """The value, remembered."""
        self.drawn[f"{owner}.{name}" if owner else name] = float(value)
        return float(value)

    def chance(self, share: float) -> bool:
        """True in the given share of draws."""
        return bool(self.random.random() < share)
