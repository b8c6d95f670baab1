"""Ions in samples as loads, and what their salts do at the room's humidity."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from engine.case.models import Area, Case, Ion, Sample
from engine.case.words import IonBand
from engine.inference.facts import Fact, Sureness
from engine.measures.climate_logged import logged_room
from engine.measures.loggers import Loggers
from engine.measures.room_air import VisitClimate, Voided
from engine.measures.salts import behaviour_in_room

BANDS: tuple[IonBand, ...] = ("none", "low", "medium", "high")
IONS = ("nitrate", "chloride", "sulphate", "ammonium")


@dataclass(frozen=True, slots=True)
class IonLoad:
    """The load of one ion in one sample: its band, and the mass percent of dry sample where it was measured."""

    sample: str
    ion: str
    band: IonBand
    mass_percent: float | None


def load_band(mass_percent: float, low_limit: float, high_limit: float) -> IonBand:
    """Band of an ion's mass [% of dry mass], 0 to 100: none at 0, low below the low limit, high from the high limit."""
    if not 0 <= mass_percent <= 100:
        raise ValueError(f"mass of ion: found {mass_percent:g}; allowed: 0 to 100 %")
    if mass_percent == 0:
        return "none"
    if mass_percent < low_limit:
        return "low"
    return "medium" if mass_percent < high_limit else "high"


def ion_facts(
    case: Case,
    area: Area,
    samples: Sequence[Sample],
    parameters: Mapping[str, float],
    voided: Voided,
    loggers: Loggers,
    doubts: list[str],
) -> tuple[tuple[IonLoad, ...], tuple[Fact, ...]]:
    """The loads of all samples, and the facts from the highest of each ion."""
    loads = tuple(load for sample in samples for ion in sample.ions for load in _load(sample, ion, parameters, doubts))
    return loads, tuple(_facts(case, area, loads, parameters, voided, loggers))


def _load(sample: Sample, ion: Ion, parameters: Mapping[str, float], doubts: list[str]) -> Iterator[IonLoad]:
    low, high = parameters.get(f"{ion.name}-low-limit"), parameters.get(f"{ion.name}-high-limit")
    band = ion.band
    if ion.mass_percent is not None:
        if low is not None and high is not None:
            measured = load_band(ion.mass_percent, low, high)
            if band is not None and band != measured:
                doubts.append(
                    f"sample {sample.id}: strip says {ion.name} {band}, mass says {measured}; the mass counts"
                )
            band = measured
        elif band is None:
            doubts.append(
                f"sample {sample.id}: no load bands by mass are published for {ion.name}; give the strip's band"
            )
    if band is not None:
        yield IonLoad(sample.id, ion.name, band, ion.mass_percent)


def _facts(
    case: Case,
    area: Area,
    loads: tuple[IonLoad, ...],
    parameters: Mapping[str, float],
    voided: Voided,
    loggers: Loggers,
) -> Iterator[Fact]:
    found: list[str] = []
    for ion in IONS:
        of_ion = [load for load in loads if load.ion == ion]
        if not of_ion:
            continue
        highest = max(of_ion, key=lambda load: (BANDS.index(load.band), load.mass_percent or 0.0))
        by_mass = highest.mass_percent is not None and f"{ion}-low-limit" in parameters
        sureness = Sureness.CERTAIN if by_mass else Sureness.FAIRLY_SURE
        yield Fact(f"salt-{ion}", highest.band, sureness, origin=f"sample {highest.sample}")
        if highest.band in ("medium", "high"):
            found.append(ion)
    air = logged_room(loggers, parameters) or VisitClimate(case, area, voided).room()
    if found and air is not None:
        behaviour = behaviour_in_room(found, air.temperature_c, air.humidity_percent)
        if behaviour is not None:
            origin = f"{' and '.join(found)} at {air.humidity_percent:.0f} %"
            yield Fact("salts-at-room-humidity", behaviour, Sureness.FAIRLY_SURE, origin=origin)
