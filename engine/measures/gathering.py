"""From a case's readings to places: which are usable, which belong together, which dry reference they have."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from engine.case.models import Area, Case, Instrument, Reading, Surface, Visit
from engine.measures.near import Near
from engine.measures.places import DEEP_PINS, MODE_TITLES, MODES, PINS, RELATIVE, WOOD, Gathered, Place
from engine.measures.references import References, Visits


@dataclass(frozen=True, slots=True)
class _Press:
    surface: Surface
    visit: Visit
    instrument: Instrument
    mode: str
    reading: Reading
    material: str
    y_mm: float


def gather_places(
    case: Case, area: Area, parameters: Mapping[str, float], voided: frozenset[tuple[str, str]] = frozenset()
) -> Gathered:
    """The places of an area's surfaces; readings of voided (visit, instrument) pairs are left out.

    Readings that lie off their surface, exceed their instrument's scale or name no electrical instrument are
    left out with a doubt. The order of readings in the case changes nothing.
    """
    doubts: list[str] = []
    visits = Visits(case)
    presses = [
        press
        for surface in sorted(area.surfaces, key=lambda surface: surface.id)
        for press in _presses(surface, visits, parameters, voided, doubts)
    ]
    references = References(case, area, visits, voided)
    history = tuple(_place(group, references, parameters) for group in _grouped(presses, parameters))
    latest = _latest(history, visits.day, parameters["same-place-radius"])
    return Gathered(
        latest=latest,
        history=history,
        days=visits.day,
        used=frozenset((place.visit, place.instrument) for place in history),
        doubts=tuple(dict.fromkeys(doubts)),
        limits=tuple(dict.fromkeys(_limits(latest))),
    )


def floor_level(surface: Surface) -> float:
    """Height of the floor on a wall [mm]: the lowest point of a floor line drawn on it, else its bottom edge."""
    lines = [min(feature.y_mm, feature.to_y_mm) for feature in surface.features if feature.kind == "floor-line"]
    return min(lines) if lines and surface.kind not in ("floor", "ceiling") else 0.0


def material_at(surface: Surface, x_mm: float, y_mm: float) -> str:
    """Material at a place: the smallest zone that holds it, else the surface's own."""
    zones = [
        (abs((zone.to_x_mm - zone.x_mm) * (zone.to_y_mm - zone.y_mm)), zone.id, zone.material)
        for zone in surface.zones
        if min(zone.x_mm, zone.to_x_mm) <= x_mm <= max(zone.x_mm, zone.to_x_mm)
        and min(zone.y_mm, zone.to_y_mm) <= y_mm <= max(zone.y_mm, zone.to_y_mm)
    ]
    return min(zones)[2] if zones else surface.material


def _presses(
    surface: Surface,
    visits: Visits,
    parameters: Mapping[str, float],
    voided: frozenset[tuple[str, str]],
    doubts: list[str],
) -> Iterator[_Press]:
    level = floor_level(surface)
    if len(surface.readings) >= 4 and all(abs(r.x_mm) <= 10 and abs(r.y_mm) <= 10 for r in surface.readings):
        doubts.append(
            f"{surface.title or surface.id}: every place lies within 10 mm of the corner; places are in millimetres"
        )
    for reading in surface.readings:
        where = f"{surface.title or surface.id}, {reading.x_mm:g} mm across and {reading.y_mm:g} mm up"
        found = visits.find(reading.instrument, reading.visit)
        if found is None:
            doubts.append(f"{where}: no instrument {reading.instrument} on that visit, so the reading is left out")
            continue
        visit, instrument = found
        if (visit.id, instrument.id) in voided:
            continue
        fault = _fault(surface, reading, instrument, level, parameters["same-place-radius"])
        if fault:
            doubts.append(f"{where}: {fault}, so it is left out")
            continue
        deep = instrument.mode == DEEP_PINS or (
            instrument.mode == PINS and reading.depth_mm >= parameters["deep-pin-depth"]
        )
        yield _Press(
            surface=surface,
            visit=visit,
            instrument=instrument,
            mode=DEEP_PINS if deep else instrument.mode,
            reading=reading,
            material=reading.material or material_at(surface, reading.x_mm, reading.y_mm),
            y_mm=reading.y_mm - level,
        )


def _fault(surface: Surface, reading: Reading, instrument: Instrument, level: float, slack: float) -> str | None:
    values = (reading.value, *reading.repeats)
    if instrument.mode not in MODES or instrument.scale not in (WOOD, RELATIVE):
        return f"the reading is from {instrument.id}, which is no electrical moisture meter"
    if not all(math.isfinite(value) and value >= 0 for value in values):
        return "the reading is not a number of nought or more"
    most = instrument.full_scale or (100.0 if instrument.scale == WOOD else None)
    if most is not None and max(values) > most:
        return f"the reading {max(values):g} is above the top of the scale, {most:g}"
    if reading.y_mm < level - slack:
        return "the place lies below the floor"
    inside = -slack <= reading.x_mm <= surface.width_mm + slack and reading.y_mm <= surface.height_mm + slack
    return (
        None if inside else f"the place lies off the surface, which is {surface.width_mm:g} by {surface.height_mm:g} mm"
    )


def _grouped(presses: list[_Press], parameters: Mapping[str, float]) -> list[list[_Press]]:
    """Presses of one surface, mode, visit, instrument and material within the radius of one another's first press."""
    radius = parameters["same-place-radius"]
    kinds: dict[tuple[str, str, str, str, str], list[_Press]] = {}
    for press in presses:
        key = press.surface.id, press.mode, press.visit.id, press.instrument.id, press.material
        kinds.setdefault(key, []).append(press)
    groups: list[list[_Press]] = []
    for key in sorted(kinds):
        ordered = sorted(
            kinds[key],
            key=lambda p: (p.reading.x_mm, p.y_mm, p.reading.depth_mm, p.reading.value, p.reading.repeats),
        )
        near: Near[list[_Press]] = Near(radius)
        for press in ordered:
            group = near.first(press.reading.x_mm, press.y_mm)
            if group is None:
                group = []
                near.add(press.reading.x_mm, press.y_mm, group)
                groups.append(group)
            group.append(press)
    return groups


def _place(group: list[_Press], references: References, parameters: Mapping[str, float]) -> Place:
    first = group[0]
    presses = tuple(sorted(v for press in group for v in (press.reading.value, *press.reading.repeats)))
    reference = references.find(first.surface.id, first.visit, first.instrument, first.material)
    return Place(
        surface=first.surface.id,
        mode=first.mode,
        visit=first.visit.id,
        instrument=first.instrument.id,
        scale=first.instrument.scale,
        full_scale=first.instrument.full_scale,
        x_mm=first.reading.x_mm,
        y_mm=first.y_mm,
        depth_mm=max(press.reading.depth_mm for press in group),
        material=first.material,
        presses=presses,
        value=median(presses),
        raised=raised_step(first.instrument, parameters),
        reference=reference.value if reference else None,
        reference_visit=reference.visit if reference else None,
    )


def raised_step(instrument: Instrument, parameters: Mapping[str, float]) -> float | None:
    """The smallest rise that counts as raised, in the instrument's own points; None on a scale of unknown length."""
    if instrument.scale == WOOD:
        return parameters["wood-raised-points"]
    if instrument.full_scale is None:
        return None
    return instrument.full_scale * parameters["relative-raised-percent"] / 100


def _latest(history: Sequence[Place], days: Mapping[str, int], radius: float) -> tuple[Place, ...]:
    """Of each surface, mode and place only the later visit's; all of them where there is one visit."""
    if len({place.visit for place in history}) < 2:
        return tuple(sorted(history, key=_order))
    kept: dict[tuple[str, str], Near[str]] = {}
    latest = []
    for place in sorted(history, key=lambda p: (-days[p.visit], _order(p))):
        near = kept.setdefault((place.surface, place.mode), Near(radius))
        if all(visit == place.visit for _, visit in near.within(place.x_mm, place.y_mm)):
            near.add(place.x_mm, place.y_mm, place.visit)
            latest.append(place)
    return tuple(sorted(latest, key=_order))


def _order(place: Place) -> tuple[str, str, str, str, float, float, str]:
    return (place.surface, place.mode, place.visit, place.instrument, place.x_mm, place.y_mm, place.material)


def _limits(places: Iterable[Place]) -> Iterator[tuple[str, str]]:
    bare = {(place.mode, place.material) for place in places if place.reference is None}
    for mode, material in sorted(bare):
        yield (
            f"level of the {MODE_TITLES[mode]} readings on {material}",
            "no dry reference on that material with that instrument: only their pattern was used, not their level",
        )
    unscaled = {place.instrument for place in places if place.raised is None}
    for instrument in sorted(unscaled):
        yield f"readings of {instrument}", "the top of its relative scale is not stated, so no rise can be judged"
    borrowed = {(place.mode, place.material) for place in places if place.reference_visit not in (None, place.visit)}
    for mode, material in sorted(borrowed):
        yield (
            f"dry reference of the {MODE_TITLES[mode]} readings on {material}",
            "it was taken on another visit than the readings",
        )
