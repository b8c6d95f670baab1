"""The temperature factor of an inner surface: measured, with its error band, and expected from a U-value.

f = (θsi − θe)/(θi − θe), dimensionless (EN ISO 13788:2012, at second hand). Temperatures in °C, −45 to 60.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Literal

from engine.measures.ranges import above, within

Verdict = Literal["below", "undecided", "above"]

QUOTED_INSIDE_RESISTANCE = 0.13
"""Inner surface resistance with which U-values are quoted [m²K/W] (EN ISO 6946, horizontal heat flow)."""


@dataclass(frozen=True, slots=True)
class TemperatureFactor:
    """A measured temperature factor and the ends of its error band (all dimensionless)."""

    value: float
    lower: float
    upper: float

    def verdict(self, limit: float) -> Verdict:
        """Against a limit: below or above with the whole band, else undecided."""
        if self.upper < limit:
            return "below"
        return "above" if self.lower >= limit else "undecided"


def temperature_factor(
    surface_c: float,
    inside_c: float,
    outside_c: float,
    *,
    surface_tolerance_k: float = 0.0,
    inside_tolerance_k: float = 0.0,
    outside_tolerance_k: float = 0.0,
    least_difference_k: float = 0.0,
) -> TemperatureFactor:
    """The temperature factor with the band that the thermometers' tolerances [K] give it.

    The tolerances are independent and combine as the root of the sum of squares of their effects
    1/Δθ, f/Δθ and (1 − f)/Δθ (law of propagation of uncertainty, JCGM 100:2008). Refused where inside is not
    warmer than outside by more than 0 K and at least ``least_difference_k``.
    """
    for name, value in (("surface", surface_c), ("inside", inside_c), ("outside", outside_c)):
        within(f"{name} temperature", value, -45, 60, "°C")
    for name, value in (
        ("surface", surface_tolerance_k),
        ("inside", inside_tolerance_k),
        ("outside", outside_tolerance_k),
    ):
        within(f"{name} tolerance", value, 0, 10, "K")
    difference = inside_c - outside_c
    if difference <= 0 or difference < least_difference_k:
        allowed = f"{least_difference_k:g} K or more" if least_difference_k > 0 else "above 0 K"
        raise ValueError(f"inside less outside temperature: found {difference:.1f} K; allowed: {allowed}")
    factor = (surface_c - outside_c) / difference
    error = hypot(surface_tolerance_k, factor * inside_tolerance_k, (1 - factor) * outside_tolerance_k) / difference
    return TemperatureFactor(factor, factor - error, factor + error)


def expected_factor(
    u_value: float, inside_resistance: float = QUOTED_INSIDE_RESISTANCE, quoted_with: float = QUOTED_INSIDE_RESISTANCE
) -> float:
    """Temperature factor of a plane element from its U-value [W/m²K], 0.05 to 7.

    ``inside_resistance`` [m²K/W] is that of the place asked about (0.13 open wall, 0.25 behind furniture);
    ``quoted_with`` the one that is in the U-value. U is first brought to the place's resistance,
    U′ = 1/(1/U + Rsi − Rsi,quoted), then f = 1 − Rsi·U′; taking 1 − 0.25·U at once would count it twice.
    One-dimensional heat flow: corners, slab edges and lintels need EN ISO 10211 or measurement.
    """
    within("U-value", u_value, 0.05, 7, "W/m²K")
    within("inside surface resistance", inside_resistance, 0, 1, "m²K/W")
    above("1/U less the surface resistance in it", 1 / u_value - quoted_with, 0, 20, "m²K/W")
    adapted = 1 / (1 / u_value + inside_resistance - quoted_with)
    return 1 - inside_resistance * adapted


def expected_surface_temperature(
    u_value: float, inside_c: float, outside_c: float, inside_resistance: float = QUOTED_INSIDE_RESISTANCE
) -> float:
    """Inner surface temperature [°C] of a plane element in steady heat flow: θe + f·(θi − θe)."""
    within("inside temperature", inside_c, -45, 60, "°C")
    within("outside temperature", outside_c, -45, 60, "°C")
    return outside_c + expected_factor(u_value, inside_resistance) * (inside_c - outside_c)
