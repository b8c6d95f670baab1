"""Drilled samples of an area as facts: moisture as found, hygroscopic moisture, free water, how they run up the wall.

Reading rule of BRE Digest 245, Appendix A (through quotations). All moistures are percent of dry mass [%]
unless named wet basis; heights are above the floor of the surface [mm].
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from engine.case.models import Area, Case, Sample
from engine.inference.facts import Fact, Sureness, Value
from engine.measures.gathering import floor_level
from engine.measures.gravimetric import moisture_content, wet_to_dry_basis
from engine.measures.ion_loads import IonLoad, ion_facts
from engine.measures.loggers import NO_LOGGERS, Loggers
from engine.measures.references import Visits
from engine.measures.room_air import Voided, visit_of
from engine.measures.sample_profile import SampleMoisture, column_of, profile_shape


@dataclass(frozen=True, slots=True)
class SampleFacts:
    """Facts, doubts and limits of the samples, and the moistures and ions behind them."""

    facts: tuple[Fact, ...]
    doubts: tuple[str, ...]
    limits: tuple[tuple[str, str], ...]
    samples: tuple[SampleMoisture, ...]
    ions: tuple[IonLoad, ...]


def sample_facts(
    case: Case,
    area: Area,
    parameters: Mapping[str, float],
    voided: Voided = frozenset(),
    loggers: Loggers = NO_LOGGERS,
) -> SampleFacts:
    """Samples of an area; of one place the later visit wins.

    Masses do not count where every balance of their visit is voided, carbide readings where every carbide meter
    is. Facts are declared in rulesets/measures/samples.yaml, thresholds in rulesets/parameters/samples.yaml.
    """
    doubts: list[str] = []
    limits: list[tuple[str, str]] = []
    kept = _latest(case, area)
    samples = tuple(
        one for sample, visit in kept if (one := _moisture(case, area, sample, visit, parameters, voided, doubts))
    )
    ions, salt_facts = ion_facts(case, area, [sample for sample, _ in kept], parameters, voided, loggers, doubts)
    facts = [*salt_facts, *_base_facts(samples, parameters, limits), *_depth_facts(samples)]
    facts += _height_facts(samples, parameters)
    return SampleFacts(
        tuple(sorted(facts, key=lambda fact: fact.attribute)),
        tuple(dict.fromkeys(doubts)),
        tuple(dict.fromkeys(limits)),
        samples,
        ions,
    )


def _latest(case: Case, area: Area) -> list[tuple[Sample, str]]:
    visits = Visits(case)
    by_place: dict[tuple[object, ...], list[tuple[int, Sample, str]]] = {}
    for sample in sorted(area.samples, key=lambda one: one.id):
        visit = visit_of(visits, sample.visit)
        placed = sample.y_mm is not None
        place = (sample.surface, sample.x_mm, sample.y_mm, sample.depth_from_mm, sample.depth_to_mm)
        key = place if placed else (sample.id,)
        by_place.setdefault(key, []).append((visits.day[visit.id], sample, visit.id))
    found = []
    for group in by_place.values():
        last = max(day for day, _, _ in group)
        found += [(sample, visit) for day, sample, visit in group if day == last]
    return sorted(found, key=lambda pair: pair[0].id)


def _moisture(
    case: Case,
    area: Area,
    sample: Sample,
    visit: str,
    parameters: Mapping[str, float],
    voided: Voided,
    doubts: list[str],
) -> SampleMoisture | None:
    where = f"sample {sample.id}"
    found = hygroscopic = None
    by_carbide = False
    error = parameters["weighing-error"]
    masses = not _all_void(case, visit, "balance", voided)
    if masses and sample.dry_g is not None:
        least = parameters["sample-mass-least"]
        if sample.dry_g < least:
            doubts.append(f"{where}: a dry mass of {sample.dry_g:g} g is less than the {least:g} g that weighing needs")
            error *= least / sample.dry_g
        if sample.wet_g is not None:
            found = _content(sample.wet_g, sample.dry_g, f"{where}: the mass as found", doubts)
        if sample.conditioned_g is not None:
            hygroscopic = _content(sample.conditioned_g, sample.dry_g, f"{where}: the mass at 75 %", doubts)
    elif masses and (sample.wet_g is not None or sample.conditioned_g is not None):
        doubts.append(f"{where}: there is no dry mass, so nothing follows from the others")
    if found is None and sample.carbide_percent is not None and not _all_void(case, visit, "carbide", voided):
        if sample.carbide_percent <= 95:
            found, by_carbide = wet_to_dry_basis(sample.carbide_percent), True
        else:
            doubts.append(f"{where}: a carbide reading of {sample.carbide_percent:g} % cannot be")
    if found is None and hygroscopic is None:
        return None
    return SampleMoisture(
        id=sample.id,
        visit=visit,
        surface=sample.surface,
        height_mm=_height(area, sample),
        skin=_is_skin(sample, parameters["skin-depth"]),
        found_percent=found,
        hygroscopic_percent=hygroscopic,
        error_percent=error,
        by_carbide=by_carbide,
    )


def _content(mass_g: float, dry_g: float, what: str, doubts: list[str]) -> float | None:
    if mass_g < dry_g:
        doubts.append(f"{what} ({mass_g:g} g) is less than the dry mass ({dry_g:g} g), which cannot be")
        return None
    return moisture_content(mass_g, dry_g)


def _all_void(case: Case, visit: str, mode: str, voided: Voided) -> bool:
    used = [i.id for v in case.visits if v.id == visit for i in v.instruments if i.mode == mode]
    return bool(used) and all((visit, instrument) in voided for instrument in used)


def _height(area: Area, sample: Sample) -> float | None:
    if sample.y_mm is None:
        return None
    surface = next((one for one in area.surfaces if one.id == sample.surface), None)
    return sample.y_mm - (floor_level(surface) if surface else 0.0)


def _is_skin(sample: Sample, skin_depth: float) -> bool | None:
    """Whether the middle of a sample lies within the surface layer; None where its depth is not stated."""
    ends = [depth for depth in (sample.depth_from_mm, sample.depth_to_mm) if depth is not None]
    return sum(ends) / len(ends) < skin_depth if ends else None


def _base_facts(
    samples: tuple[SampleMoisture, ...], parameters: Mapping[str, float], limits: list[tuple[str, str]]
) -> Iterator[Fact]:
    if not samples:
        return
    only_total = all(one.free_percent is None for one in samples)
    yield Fact("total-moisture-only", "yes" if only_total else "no", origin="samples")
    if only_total:
        limits.append(("samples", "only the total moisture is known, so water and salts cannot be told apart"))
    base = [
        one
        for one in samples
        if one.found_percent is not None
        and not one.skin
        and one.height_mm is not None
        and one.height_mm <= parameters["base-zone-height"]
    ]
    if not base:
        limits.append(("samples", "none was taken from the depth of the wall near its base"))
        return
    wettest = max(base, key=lambda one: (one.free_percent is not None, one.found_percent or 0.0, one.id))
    found = wettest.found_percent or 0.0
    origin = f"sample {wettest.id}, visit {wettest.visit}"
    yield Fact("base-moisture-percent", found, origin=origin)
    state, sureness = _state(wettest, found, parameters)
    if state is not None:
        yield Fact("gravimetric-state", state, sureness, origin=origin)


def _state(one: SampleMoisture, found: float, parameters: Mapping[str, float]) -> tuple[str | None, Sureness]:
    """State of the base by the reading rule; fairly sure where the weighing error leaves another state open."""
    low = parameters["low-moisture"]
    free = one.free_percent
    if free is None or one.hygroscopic_percent is None:
        return ("low" if found < low else None), Sureness.FAIRLY_SURE
    if found < low and one.hygroscopic_percent < low:
        return "low", Sureness.FAIRLY_SURE if one.holds_free_water else Sureness.CERTAIN
    sureness = Sureness.CERTAIN if abs(free) > one.error_percent else Sureness.FAIRLY_SURE
    if one.holds_free_water:
        strong = found >= wet_to_dry_basis(parameters["base-moisture-strong"]) - 1e-9
        return ("free-water-at-base-strong" if strong else "free-water-at-base-weak"), sureness
    return "hygroscopic-only", sureness


def _depth_facts(samples: tuple[SampleMoisture, ...]) -> Iterator[Fact]:
    for attribute, skin in (("skin-free-water-percent", True), ("core-free-water-percent", False)):
        free = [(one.free_percent, one.id) for one in samples if one.skin is skin and one.free_percent is not None]
        if free:
            percent, sample = max(free)
            yield Fact(attribute, percent, origin=f"sample {sample}")
    hygroscopic = [(one.hygroscopic_percent, one.id) for one in samples if one.hygroscopic_percent is not None]
    if hygroscopic:
        percent, sample = max(hygroscopic)
        yield Fact("hygroscopic-moisture-percent", percent, origin=f"sample {sample}")


def _height_facts(samples: tuple[SampleMoisture, ...], parameters: Mapping[str, float]) -> Iterator[Fact]:
    zone = parameters["base-zone-height"]
    salts = column_of(samples, "hygroscopic_percent")
    if salts is not None:
        peak = max(salts.points, key=lambda point: (point[1], point[0]))
        yield Fact("hygroscopic-peak-height-mm", peak[0], origin=f"samples, {len(salts.points)} heights")
    column = column_of(samples, "free_percent")
    shape = profile_shape(column, zone) if column is not None else None
    if column is not None and shape is not None:
        yield Fact("free-water-profile", shape, origin=f"samples, {len(column.points)} heights")
    elsewhere = _elsewhere(samples, shape, zone)
    if elsewhere is not None:
        yield Fact("free-water-above-the-base", elsewhere, origin="samples above the base")


def _elsewhere(samples: tuple[SampleMoisture, ...], shape: str | None, zone: float) -> Value | None:
    core = [one for one in samples if not one.skin and one.free_percent is not None and one.height_mm is not None]
    above = [one for one in core if one.height_mm is not None and one.height_mm > zone]
    base = max((one.free_percent or 0.0 for one in core if one not in above), default=0.0)
    if not above:
        return None
    if not any(one.holds_free_water for one in above) or shape == "falls-from-base":
        return "no"
    if shape in ("at-all-heights", "highest-above-base"):
        return "yes"
    more = any(one.holds_free_water and (one.free_percent or 0.0) > max(base, 0.0) + one.error_percent for one in above)
    return "yes" if more else None
