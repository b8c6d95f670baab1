"""Capillary rise in a wall that dries from its faces: steady height, time course, stored water, flow.

Sharp-front balance of Hall and Hoff, "Rising damp: capillary rise dynamics in walls", *Proc. R. Soc. A* 463 (2007)
1871–1884 (at second hand). Gravity, soil suction, salts and joints are left out: orders of magnitude only.

Thickness b [mm], 20 to 2000; sorptivity S [mm/min^½], above 0 to 10; evaporation e [mm/min], the sum of both faces,
above 0 to 0.02; water content θ of the wet zone by volume, above 0 to 0.5.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import expm1, inf, log, sqrt
from typing import Literal

from engine.measures.ranges import above, within

MINUTES_PER_DAY = 1440.0

Plausibility = Literal["within", "possible", "beyond"]


@dataclass(frozen=True, slots=True)
class Wall:
    """What capillary rise depends on: thickness, sorptivity, evaporation, water content of the wet zone."""

    thickness_mm: float
    sorptivity: float = 1.0
    evaporation: float = 0.001
    water_content: float = 0.2

    def __post_init__(self) -> None:
        within("wall thickness", self.thickness_mm, 20, 2000, "mm")
        above("sorptivity", self.sorptivity, 0, 10, "mm/min^½")
        above("evaporation", self.evaporation, 0, 0.02, "mm/min")
        above("water content of the wet zone", self.water_content, 0, 0.5, "by volume")


def steady_height(wall: Wall) -> float:
    """Height at which inflow and evaporation balance [mm]: S·√(b/(2·e·θ))."""
    return wall.sorptivity * sqrt(wall.thickness_mm / (2 * wall.evaporation * wall.water_content))


def time_constant(wall: Wall) -> float:
    """Time constant of the squared height [days]: b·θ/(2·e)."""
    return wall.thickness_mm * wall.water_content / (2 * wall.evaporation) / MINUTES_PER_DAY


def height_after(wall: Wall, days: float) -> float:
    """Height [mm] after a time [days] from dry with unlimited water: h² = hss²·(1 − exp(−t/τ))."""
    within("time", days, 0, 100_000, "days")
    return steady_height(wall) * sqrt(-expm1(-days / time_constant(wall)))


def days_to_height(wall: Wall, height_mm: float) -> float:
    """Time [days] to reach a height [mm]; infinite from the steady height up. The inverse of `height_after`."""
    within("height", height_mm, 0, 100_000, "mm")
    share = (height_mm / steady_height(wall)) ** 2
    return inf if share >= 1 else -time_constant(wall) * log(1 - share)


def stored_water(wall: Wall, height_mm: float | None = None) -> float:
    """Water held in a metre run of wall [litres]: θ·b·h, at the steady height unless one is given [mm]."""
    height = steady_height(wall) if height_mm is None else float(within("height", height_mm, 0, 100_000, "mm"))
    return wall.water_content * wall.thickness_mm * height / 1000


def throughput(wall: Wall) -> float:
    """Water that passes through a metre run of wall at the steady height [litres/day]: e·h."""
    return wall.evaporation * steady_height(wall) * MINUTES_PER_DAY / 1000


def residence_time(wall: Wall) -> float:
    """Stored water over throughput [days]: b·θ/e."""
    return wall.thickness_mm * wall.water_content / wall.evaporation / MINUTES_PER_DAY


@dataclass(frozen=True, slots=True)
class HeightStatement:
    """Whether capillary rise could reach an observed height in a wall.

    ``within`` the height for the stated wall, ``possible`` only with the most favourable of the stated spans, or
    ``beyond`` even that; ``doubted`` above the height at which another cause should be looked for first.
    """

    observed_mm: float
    expected_mm: float
    lowest_mm: float
    highest_mm: float
    plausibility: Plausibility
    doubted: bool


def plausible_height(wall: Wall, observed_mm: float, doubted_above_mm: float, span: float = 2.0) -> HeightStatement:
    """A plausibility statement for an observed height of dampness [mm], 0 to 100 000.

    ``span`` is the factor (1 to 10) by which sorptivity may be higher or lower and evaporation lower or higher
    than stated; both together give the highest and the lowest rise.
    """
    within("observed height", observed_mm, 0, 100_000, "mm")
    within("span", span, 1, 10, "")
    expected = steady_height(wall)
    stretch = span * sqrt(span)
    highest = expected * stretch
    plausibility: Plausibility = "within"
    if observed_mm > expected:
        plausibility = "possible" if observed_mm <= highest else "beyond"
    return HeightStatement(
        observed_mm, expected, expected / stretch, highest, plausibility, observed_mm > doubted_above_mm
    )
