"""Measures: what the numbers on the wall mean, as facts.

Everything heavy is imported where it is used, so that importing this package costs next to nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from engine.inference.facts import Fact

if TYPE_CHECKING:
    from engine.case.models import Area, Case, Instrument, Visit
    from engine.measures.climate import ClimateFacts
    from engine.measures.samples import SampleFacts
    from engine.measures.timber import TimberFacts
    from engine.measures.wall import Electrical


@dataclass(frozen=True, slots=True)
class Measured:
    """The facts of an area's numbers, sorted by attribute, with doubts, limits and the details for views."""

    facts: tuple[Fact, ...]
    doubts: tuple[str, ...]
    limits: tuple[tuple[str, str], ...]
    electrical: Electrical
    climate: ClimateFacts
    timber: TimberFacts
    samples: SampleFacts


def measure(
    case: Case,
    area: Area,
    parameters: Mapping[str, float],
    voided: frozenset[tuple[str, str]] = frozenset(),
    folder: Path | None = None,
) -> Measured:
    """Everything that an area's readings, climate, timber and samples come to.

    ``parameters`` are all numbers of the rule base by id; ``voided`` the (visit, instrument) pairs whose readings do
    not count; ``folder`` the case's own, in which loggers' files lie. InvalidInput for faults in those files.
    """
    from engine.measures.climate import climate_facts
    from engine.measures.electrical_facts import electrical_facts
    from engine.measures.loggers import NO_LOGGERS, read_loggers
    from engine.measures.samples import sample_facts
    from engine.measures.timber import timber_facts
    from engine.measures.wall import electrical

    found = electrical(case, area, parameters, voided)
    loggers = read_loggers(area, folder, parameters["logged-days-at-least"]) if area.loggers else NO_LOGGERS
    climate = climate_facts(case, area, parameters, voided, loggers)
    timber = timber_facts(case, area, parameters, voided, loggers)
    samples = sample_facts(case, area, parameters, voided, loggers)
    parts = (climate, timber, samples)
    facts = [*electrical_facts(found, area, parameters), *(fact for part in parts for fact in part.facts)]
    return Measured(
        facts=tuple(sorted(facts, key=lambda fact: fact.attribute)),
        doubts=tuple(dict.fromkeys((*found.gathered.doubts, *(doubt for part in parts for doubt in part.doubts)))),
        limits=tuple(dict.fromkeys((*found.gathered.limits, *(limit for part in parts for limit in part.limits)))),
        electrical=found,
        climate=climate,
        timber=timber,
        samples=samples,
    )


def instrument_facts(case: Case, visit: Visit, instrument: Instrument) -> tuple[Fact, ...]:
    """Facts on one instrument of one visit, for admission, before any of its readings is used."""
    from engine.measures.instruments import instrument_facts as facts

    return facts(case, visit, instrument)
