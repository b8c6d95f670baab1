"""What published guidance asks for, as sums: vents of a floor void, whole-dwelling ventilation, driving-rain zones.

Approved Documents C and F (England, at second hand; figures from memory where said). Scotland, Wales and Northern
Ireland differ.
"""

from __future__ import annotations

from engine.measures.ranges import above, within

VENT_AREA_PER_METRE_OF_WALL = 1500.0
"""[mm² per metre run of wall] (Approved Document C)."""

VENT_AREA_PER_SQUARE_METRE = 500.0
"""[mm² per m² of floor] (Approved Document C)."""

RATES_BY_BEDROOMS = (19.0, 25.0, 31.0, 37.0, 43.0)
"""Least whole-dwelling rates for one to five bedrooms [l/s] (Approved Document F volume 1, 2021)."""

RATE_PER_SQUARE_METRE = 0.3
"""Least whole-dwelling rate by floor area [l/s per m²] (Approved Document F volume 1, 2021)."""

DRIVING_RAIN_ZONES = ((33.0, "sheltered"), (56.5, "moderate"), (100.0, "severe"))
"""Upper ends of the zones [l/m² per worst spell], very severe from the last (BRE BR 262; numbers from memory)."""


def void_vent_area(wall_run_m: float, floor_area_m2: float) -> float:
    """Clear vent area of a suspended floor's void [mm²]: 1500 per metre of vented wall or 500 per m², the greater.

    ``wall_run_m`` is the length of the vented walls together, 0 to 1000 m; floor area 0 to 10 000 m². The clear
    area counts, of which an airbrick gives only part of its face.
    """
    run = float(within("length of vented walls", wall_run_m, 0, 1000, "m"))
    area = float(within("floor area", floor_area_m2, 0, 10_000, "m²"))
    return max(VENT_AREA_PER_METRE_OF_WALL * run, VENT_AREA_PER_SQUARE_METRE * area)


def whole_dwelling_rate(bedrooms: int, floor_area_m2: float) -> float:
    """Least whole-dwelling ventilation rate [l/s]: by bedrooms (1 to 5) or 0.3 per m² of floor, the greater."""
    within("bedrooms", float(bedrooms), 1, 5, "")
    area = float(above("floor area", floor_area_m2, 0, 10_000, "m²"))
    return max(RATES_BY_BEDROOMS[bedrooms - 1], RATE_PER_SQUARE_METRE * area)


def driving_rain_zone(litres_per_m2: float) -> str:
    """Exposure zone of a wall by driving rain in the worst spell of about three years [l/m²], 0 to 500."""
    rain = float(within("driving rain", litres_per_m2, 0, 500, "l/m²"))
    return next((zone for limit, zone in DRIVING_RAIN_ZONES if rain < limit), "very-severe")
