"""What a made-up wall may be like: the range of every drawn number, with its unit and where the range comes from.

Lengths in millimetres [mm], times in days, temperatures in °C. A number is drawn evenly over its range, or
evenly over its logarithm where it ranges over sizes; nothing outside its range is ever drawn.
"""

from __future__ import annotations

from collections.abc import Mapping
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
    "salt-alone-in-field": Range(0.05, 0.15, "the same where no water goes with the salts"),
    "long-dried-wetness": Range(0.0, 0.02, "share of saturation left long after the wall was wet"),
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
    "outside-humidity": Range(78, 96, "%", "ordinary winter days"),
    "dwelling-factor": Range(0.5, 0.93, "dimensionless", "solid to well insulated walls, EN ISO 13788 method"),
    "any-corner-drop": Range(0.0, 0.1, "fall of the surface factor at the coldest place of an ordinary wall"),
    "any-surface-humidity": Range(40, 89, "% at the coldest surface where no film forms"),
    "daily-swing": Range(1.0, 3.5, "K about the mean of the day outside"),
    "heating-swing": Range(0.3, 1.2, "K about the mean of the day inside"),
    "vapour-swing": Range(0.05, 0.3, "share of the mean excess, over the day"),
    "void-humidity": Range(60, 98, "% in a void"),
    # a wall that dries out, or is wet through
    "remaining-water": Range(0.25, 0.85, "share of saturation"),
    "drying-spread": Range(0.0, 0.15, "share by which one side of the wall is ahead of the other"),
    # what only whole cases have on their walls
    "retained-height": Range(0.3, 0.7, "share of the wall's height"),
    "seepage-rate": Range(1.5, 8.0, "litres a day and square metre", by_size=True),
    "slab-reach": Range(150, 350, "mm"),
    "foot-wetness": Range(0.2, 0.6, "share of saturation at the very foot"),
    "hidden-width": Range(500, 1500, "mm at which a hidden patch falls to 1/e"),
    "hidden-height": Range(300, 900, "mm"),
    "hidden-wetness": Range(0.35, 0.9, "share of saturation"),
    "stain-width": Range(250, 600, "mm at which a patch of salts falls to 1/e"),
    "stain-height": Range(300, 700, "mm"),
    # metal
    "metal-contact": Range(0.7, 1.0, "share of presses that touch the metal"),
    "metal-pins": Range(1.2, 3.0, "conductance against saturated material"),
    "metal-field": Range(0.5, 1.5, "effect on the field against saturated material"),
    "metal-reach": Range(15, 30, "mm from which the field feels a bead"),
    # drilled samples and timber
    "hygroscopic-plain": Range(0.5, 1.5, "% of dry mass at 75 % humidity", "brick and lime mortar, common practice"),
    "hygroscopic-salts": Range(2.0, 6.0, "% of dry mass that the salts of a whole crest take up at 75 %"),
    "hygroscopic-held": Range(0.6, 0.95, "share of it that is held in a room's drier air"),
    "hidden-salts": Range(0.0, 1.0, "load of salts that no meter shows, against a whole crest"),
    "timber-moisture": Range(13, 34, "% of dry mass of timber that water reaches"),
    # the meters
    "pins-dry": Range(7, 12, "points on plaster that is dry"),
    "pins-span": Range(12, 20, "points from dry to saturated"),
    "pins-bend": Range(1.0, 2.5, "how soon pins saturate"),
    "capacitance-dry": Range(0.05, 0.20, "share of full scale on plaster that is dry"),
    "capacitance-span": Range(0.45, 0.75, "share of full scale from dry to saturated"),
    "capacitance-bend": Range(1.0, 2.5, "how soon the field saturates"),
    "field-depth": Range(8, 20, "mm at which the field falls to 1/e", "20 mm claimed, usually less: makers' claims"),
    "press-floor": Range(0.2, 0.5, "points on a wood scale (standard deviation)"),
    "steady-press-floor": Range(0.06, 0.11, "the same in a practised hand"),
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
    fixed: Mapping[str, float] = field(default_factory=dict)

    def __call__(self, name: str, owner: str = "") -> float:
        """A number of the range, remembered as ``name`` or ``owner.name``. KeyError for a name that is not listed.

        Where ``fixed`` holds a number under that name, that number is taken.
        """
        limits = RANGES[name]
        full_name = f"{owner}.{name}" if owner else name
        if full_name in self.fixed:
            return self.note(name, self.fixed[full_name], owner)
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
