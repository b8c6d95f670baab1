"""What is known of an instrument before its readings are used."""

from __future__ import annotations

from collections.abc import Iterable
from statistics import median

from engine.case.models import Case, Instrument, Reading, TimberReading, Visit
from engine.inference.facts import Fact
from engine.measures.places import RELATIVE
from engine.measures.references import Visits


def instrument_facts(case: Case, visit: Visit, instrument: Instrument) -> tuple[Fact, ...]:
    """Facts on one instrument of one visit, for admission: its check, its mode, how well it repeats.

    The spread of repeats is in points on a wood scale and in % of full scale on a relative scale.
    """
    origin = f"{instrument.id}, visit {visit.id}"
    facts = [Fact("instrument-mode", instrument.mode, origin=origin)]
    if instrument.checks:
        passed = all(check.passed for check in instrument.checks)
        facts.append(Fact("instrument-reference-check", "passed" if passed else "failed", origin=origin))
    presses = list(_presses(case, visit, instrument))
    facts.append(Fact("instrument-reading-count", float(len(presses)), origin=origin))
    unit = 1.0 if instrument.scale != RELATIVE else (instrument.full_scale or 0.0) / 100
    repeated = [values for values in presses if len(values) > 1]
    if repeated and unit > 0:
        furthest = [max(abs(value - median(values)) for value in values) / unit for values in repeated]
        facts.append(Fact("instrument-repeat-spread", median(furthest), origin=origin))
    return tuple(sorted(facts, key=lambda fact: fact.attribute))


def reference_check_made(case: Case, used: Iterable[tuple[str, str]]) -> str | None:
    """`yes` when every (visit, instrument) that was used has a recorded check, `no` when one has none."""
    wanted = frozenset(used)
    checked = [
        bool(instrument.checks)
        for visit in case.visits
        for instrument in visit.instruments
        if (visit.id, instrument.id) in wanted
    ]
    if not checked:
        return None
    return "yes" if all(checked) else "no"


def _presses(case: Case, visit: Visit, instrument: Instrument) -> Iterable[tuple[float, ...]]:
    visits = Visits(case)
    for area in case.areas:
        readings: list[Reading | TimberReading] = [r for surface in area.surfaces for r in surface.readings]
        for reading in (*readings, *area.timber):
            if reading.instrument != instrument.id:
                continue
            found = visits.find(reading.instrument, reading.visit)
            if found is not None and found[0].id == visit.id:
                yield (reading.value, *reading.repeats)
