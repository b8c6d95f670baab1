"""Timber of an area as facts: moisture content corrected and with its band, against the air, and over time.

Only here does a meter's reading mean percent of dry mass. Whether timber is at risk is for the rules: it turns on
level, time, ventilation and signs together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import hypot
from statistics import median

import numpy as np

from engine.case.models import Area, Case, Instrument, TimberReading
from engine.inference.facts import Fact, Sureness, Value
from engine.measures.climate_logged import logged_room, logged_void
from engine.measures.loggers import NO_LOGGERS, Loggers
from engine.measures.references import Visits
from engine.measures.room_air import VisitClimate, Voided
from engine.measures.series import share_of_time, spells
from engine.measures.wood import (
    COLDEST,
    COLDEST_CORRECTED,
    WARMEST_CORRECTED,
    corrected_reading,
    equilibrium_moisture_content,
)

RESISTANCE_MODES = ("pins", "deep-pins")


@dataclass(frozen=True, slots=True)
class TimberMoisture:
    """One reading: as read and corrected [% of dry mass], the ends of its band, and what it rests on.

    ``temperature_c`` is the wood's own, None where it was not taken. ``beyond`` is ``below`` or ``above`` when the
    reading lies outside the range in which such meters are quantitative, else empty.
    """

    id: str
    item: str
    visit: str
    read_percent: float
    temperature_c: float | None
    percent: float
    lower_percent: float
    upper_percent: float
    beyond: str
    resistance: bool


@dataclass(frozen=True, slots=True)
class TimberFacts:
    """Facts, doubts and limits of the timber, the readings that count, and the equilibrium with the air [%]."""

    facts: tuple[Fact, ...]
    doubts: tuple[str, ...]
    limits: tuple[tuple[str, str], ...]
    readings: tuple[TimberMoisture, ...]
    equilibrium_percent: float | None


def timber_facts(
    case: Case,
    area: Area,
    parameters: Mapping[str, float],
    voided: Voided = frozenset(),
    loggers: Loggers = NO_LOGGERS,
) -> TimberFacts:
    """Timber of an area; readings of voided (visit, instrument) pairs do not count.

    Of one item the later visit wins. Facts are declared in rulesets/measures/timber.yaml, thresholds in
    rulesets/parameters/timber.yaml.
    """
    doubts: list[str] = []
    limits: list[tuple[str, str]] = []
    readings = tuple(_latest(_readings(case, area, parameters, voided, doubts), Visits(case).day))
    equilibrium = _equilibrium(case, area, parameters, voided, loggers)
    facts: list[Fact] = []
    if readings:
        wettest = max(readings, key=lambda one: (one.percent, one.upper_percent, one.id))
        facts += _reading_facts(wettest, len(readings))
        for one in readings:
            if one.beyond:
                limits.append(
                    (
                        f"timber reading {one.id}",
                        f"{one.read_percent:g} % is {one.beyond} the range in which such meters are quantitative",
                    )
                )
        if equilibrium is not None:
            facts += _against_air(wettest, equilibrium[0], parameters["timber-equilibrium-tolerance"])
    if equilibrium is not None:
        percent, origin, sureness = equilibrium
        facts.append(Fact("timber-equilibrium-percent", percent, sureness, origin=origin))
    facts += _logged(loggers, parameters)
    return TimberFacts(
        tuple(sorted(facts, key=lambda fact: fact.attribute)),
        tuple(dict.fromkeys(doubts)),
        tuple(dict.fromkeys(limits)),
        readings,
        None if equilibrium is None else equilibrium[0],
    )


def moisture_of_reading(
    values: tuple[float, ...],
    temperature_c: float | None,
    parameters: Mapping[str, float],
    *,
    species: str | None = None,
    resistance: bool = True,
) -> tuple[float, float, float]:
    """Corrected moisture content with its band (value, lower, upper) [% of dry mass] from presses at one place [%].

    The median of the presses is corrected to the wood's temperature [°C], 0 to 40; where it was not taken, to the
    middle of the span of likely temperatures, whose ends widen the band. The half spread of the presses, the
    meter's tolerance and that of the species combine as the root of the sum of squares. A species may have its own
    parameters ``timber-species-slope-…``, ``timber-species-offset-…`` and ``timber-species-tolerance-…``.
    Capacitance meters on wood scales are not corrected for temperature.
    """
    slope = parameters.get(f"timber-species-slope-{species}", 1.0)
    offset = parameters.get(f"timber-species-offset-{species}", 0.0)
    species_tolerance = parameters.get(f"timber-species-tolerance-{species}", parameters["timber-species-tolerance"])
    error = hypot(parameters["timber-meter-tolerance"], species_tolerance, (max(values) - min(values)) / 2)
    read = median(values)
    if not resistance:
        corrected = ((read - offset) / slope,) * 3
    elif temperature_c is not None:
        corrected = (corrected_reading(read, temperature_c, slope, offset),) * 3
    else:
        cold, warm = parameters["timber-temperature-assumed-least"], parameters["timber-temperature-assumed-greatest"]
        corrected = (
            corrected_reading(read, (cold + warm) / 2, slope, offset),
            corrected_reading(read, warm, slope, offset),
            corrected_reading(read, cold, slope, offset),
        )
    value, lower, upper = corrected
    return value, max(0.0, lower - error), upper + error


def _readings(
    case: Case, area: Area, parameters: Mapping[str, float], voided: Voided, doubts: list[str]
) -> Iterator[TimberMoisture]:
    visits = Visits(case)
    for reading in sorted(area.timber, key=lambda one: one.id):
        found = visits.find(reading.instrument, reading.visit)
        if found is None:
            doubts.append(f"timber reading {reading.id}: no instrument {reading.instrument} on that visit; left out")
            continue
        visit, instrument = found
        if (visit.id, instrument.id) in voided:
            continue
        fault = _fault(reading, instrument)
        if fault:
            doubts.append(f"timber reading {reading.id}: {fault}; it is left out")
            continue
        values = (reading.value, *reading.repeats)
        resistance = instrument.mode in RESISTANCE_MODES
        value, lower, upper = moisture_of_reading(
            values, reading.temperature_c, parameters, species=reading.species, resistance=resistance
        )
        read = median(values)
        beyond = "below" if read < parameters["timber-scale-least"] else ""
        beyond = "above" if read > parameters["timber-scale-greatest"] else beyond
        yield TimberMoisture(
            reading.id, reading.item, visit.id, read, reading.temperature_c, value, lower, upper, beyond, resistance
        )


def _fault(reading: TimberReading, instrument: Instrument) -> str | None:
    if instrument.mode not in (*RESISTANCE_MODES, "capacitance"):
        return f"{instrument.id} is no moisture meter for timber"
    if instrument.scale != "wood-percent":
        return f"{instrument.id} reads a relative scale, which is not percent of timber's dry mass"
    highest = max(reading.value, *reading.repeats) if reading.repeats else reading.value
    if highest > 100:
        return f"{highest:g} is no percentage that such a meter shows"
    celsius = reading.temperature_c
    if instrument.mode in RESISTANCE_MODES and celsius is not None:
        if celsius < COLDEST_CORRECTED:
            return f"the timber was at {celsius:g} °C, and frozen timber does not conduct as thawed timber does"
        if celsius > WARMEST_CORRECTED:
            return f"a timber temperature of {celsius:g} °C is beyond the correction; is it Fahrenheit?"
    return None


def _latest(readings: Iterator[TimberMoisture], day: Mapping[str, int]) -> list[TimberMoisture]:
    every = list(readings)
    last: dict[str, int] = {}
    for one in every:
        last[one.item] = max(last.get(one.item, 0), day[one.visit])
    return [one for one in every if day[one.visit] == last[one.item]]


def _reading_facts(wettest: TimberMoisture, count: int) -> Iterator[Fact]:
    origin = f"timber reading {wettest.id} on {wettest.item}, visit {wettest.visit}"
    firm = wettest.temperature_c is not None and wettest.resistance and not wettest.beyond
    sureness = Sureness.CERTAIN if firm else Sureness.FAIRLY_SURE
    values: tuple[tuple[str, Value, Sureness], ...] = (
        ("timber-moisture-percent", wettest.percent, sureness),
        ("timber-moisture-lower-percent", wettest.lower_percent, sureness),
        ("timber-moisture-upper-percent", wettest.upper_percent, sureness),
        ("timber-temperature-known", "no" if wettest.temperature_c is None else "yes", Sureness.CERTAIN),
        ("timber-reading-count", float(count), Sureness.CERTAIN),
    )
    for attribute, value, sure in values:
        yield Fact(attribute, value, sure, origin=origin)


def _equilibrium(
    case: Case, area: Area, parameters: Mapping[str, float], voided: Voided, loggers: Loggers
) -> tuple[float, str, Sureness] | None:
    """Equilibrium moisture content [%] with the void's logged air, else with the room's mean; never with one moment."""
    void, room = logged_void(loggers, parameters), logged_room(loggers, parameters)
    if void is not None and void[0] is not None:
        climate, origin, sureness = (void[0], void[1]), "logger in the void", Sureness.CERTAIN
    elif room is not None:
        climate, origin = (room.temperature_c, room.humidity_percent), f"logger {room.logger}"
        sureness = Sureness.FAIRLY_SURE
    else:
        air = VisitClimate(case, area, voided).room()
        if air is None or air.kind != "mean":
            return None
        climate, origin = (air.temperature_c, air.humidity_percent), f"mean air of visit {air.visit.id}"
        sureness = Sureness.FAIRLY_SURE
    if climate[0] < COLDEST:
        return None
    return equilibrium_moisture_content(*climate), origin, sureness


def _against_air(wettest: TimberMoisture, equilibrium: float, tolerance: float) -> Iterator[Fact]:
    origin = f"timber reading {wettest.id} against the air"
    if wettest.lower_percent > equilibrium + tolerance:
        yield Fact("timber-wetter-than-air", "yes", Sureness.FAIRLY_SURE, origin=origin)
    elif wettest.upper_percent <= equilibrium + tolerance:
        yield Fact("timber-wetter-than-air", "no", Sureness.FAIRLY_SURE, origin=origin)


def _logged(loggers: Loggers, parameters: Mapping[str, float]) -> Iterator[Fact]:
    """Share of time and longest spell [days] above the caution level; of several loggers the worst."""
    found: list[tuple[float, float, str]] = []
    for one in loggers.of("timber", "moisture", parameters["logged-days-at-least"]):
        moisture = one.record.columns["moisture"]
        known = np.isfinite(moisture)
        if known.any():
            above = known & (np.nan_to_num(moisture) > parameters["timber-caution"])
            longest = spells(one.record.times, above).longest_hours / 24
            found.append((share_of_time(above, known), longest, one.logger.id))
    if found:
        share, _, logger = max(found)
        yield Fact("timber-above-caution-share", share, origin=f"logger {logger}")
        longest, logger = max((spell, name) for _, spell, name in found)
        yield Fact("timber-longest-spell-days", longest, origin=f"logger {logger}")
