"""How much vapour the inside adds to the outside air: vapour excess, humidity class, moisture balance.

Source: EN ISO 13788:2012 Annex A (from memory). Meant for means over days or weeks, not for a moment.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.measures.psychrometrics import (
    GAS_CONSTANT_OF_VAPOUR,
    ZERO_CELSIUS,
    absolute_humidity,
    vapour_pressure,
)
from engine.measures.ranges import above, within

HOUSEHOLD_PRODUCTION = {
    "dry": (3.5, 4.0, 4.0, 5.0, 6.0, 7.0),
    "moist": (6.0, 8.0, 9.0, 10.0, 11.0, 12.0),
    "wet": (9.0, 11.0, 12.0, 14.0, 15.0, 16.0),
}
"""Moisture production of households of one to six persons [kg/day] (BS 5250:2002 Annex B, from memory)."""


@dataclass(frozen=True, slots=True)
class VapourExcess:
    """Vapour inside above that outside, as pressure [Pa] and as content of the air [g/m³]."""

    pascal: float
    grams_per_m3: float


def vapour_excess(inside_c: float, inside_percent: float, outside_c: float, outside_percent: float) -> VapourExcess:
    """Inside less outside vapour pressure [Pa] and absolute humidity [g/m³], each at its own temperature."""
    return VapourExcess(
        vapour_pressure(inside_c, inside_percent) - vapour_pressure(outside_c, outside_percent),
        absolute_humidity(inside_c, inside_percent) - absolute_humidity(outside_c, outside_percent),
    )


def class_limits(outside_c: float, limits_at_zero: Sequence[float]) -> tuple[float, ...]:
    """Upper limits of the humidity classes [Pa] at an outside temperature [°C], −45 to 60.

    Constant up to 0 °C, then falling in a straight line to zero at 20 °C: limit·(1 − θe/20).
    """
    within("outside temperature", outside_c, -45, 60, "°C")
    share = min(1.0, max(0.0, 1 - outside_c / 20))
    return tuple(limit * share for limit in limits_at_zero)


def humidity_class(excess_pa: float, outside_c: float, limits_at_zero: Sequence[float]) -> int | None:
    """Humidity class, 1 upwards, of a vapour excess [Pa]; None from 20 °C outside, where no class is defined.

    A value on a limit belongs to the drier class.
    """
    if outside_c >= 20:
        return None
    return 1 + sum(excess_pa > limit for limit in class_limits(outside_c, limits_at_zero))


def household_production(persons: int, occupancy: str) -> float:
    """Moisture production of a household [kg/day]: 1 to 6 persons; dry, moist or wet occupancy."""
    within("persons", float(persons), 1, 6, "")
    if occupancy not in HOUSEHOLD_PRODUCTION:
        raise ValueError(f"occupancy: found {occupancy!r}; allowed: {', '.join(HOUSEHOLD_PRODUCTION)}")
    return HOUSEHOLD_PRODUCTION[occupancy][persons - 1]


def moisture_balance(production_kg_per_day: float, volume_m3: float, air_changes_per_hour: float) -> float:
    """Vapour excess [g/m³] that a production and a ventilation settle to: G/(n·V).

    Production 0 to 100 kg/day, volume above 0 to 100 000 m³, air changes above 0 to 20 per hour; perfect mixing
    and no sorption.
    """
    production = float(within("moisture production", production_kg_per_day, 0, 100, "kg/day"))
    above("volume", volume_m3, 0, 100_000, "m³")
    above("air changes", air_changes_per_hour, 0, 20, "per hour")
    return production * 1000 / 24 / (air_changes_per_hour * volume_m3)


def air_changes(production_kg_per_day: float, volume_m3: float, excess_g_m3: float) -> float:
    """Air changes per hour that would hold the excess [g/m³] at a production; inverse of `moisture_balance`."""
    production = float(above("moisture production", production_kg_per_day, 0, 100, "kg/day"))
    above("volume", volume_m3, 0, 100_000, "m³")
    above("vapour excess", excess_g_m3, 0, 100, "g/m³")
    return production * 1000 / 24 / (excess_g_m3 * volume_m3)


def excess_as_pressure(excess_g_m3: float, temperature_c: float) -> float:
    """A vapour excess [g/m³] as vapour pressure [Pa] at a temperature [°C]: Δv/1000·461.5·T."""
    within("temperature", temperature_c, -45, 60, "°C")
    return excess_g_m3 / 1000 * GAS_CONSTANT_OF_VAPOUR * (temperature_c + ZERO_CELSIUS)
