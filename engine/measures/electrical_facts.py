"""What electrical readings come to, as facts under the names declared in rulesets/measures/electrical.yaml."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from engine.case.models import Area
from engine.inference.facts import Fact, Sureness, Value
from engine.measures.coverage import GAPS
from engine.measures.extent import top_above_outside_ground
from engine.measures.meanings import PATCH
from engine.measures.near import Near
from engine.measures.places import CAPACITANCE, DEEP_PINS, MODE_TITLES, MODES, PINS, Place
from engine.measures.wall import Electrical, SurfaceReading, median_excess


def electrical_facts(found: Electrical, area: Area, parameters: Mapping[str, float]) -> tuple[Fact, ...]:
    """Every fact that the readings give, sorted by attribute; what they do not give has no fact."""
    titles = {surface.id: surface.title or surface.id for surface in area.surfaces}
    facts = [
        *_read(found),
        *_levels(found, titles, parameters),
        *_shapes(found, titles, parameters),
        *_profile(found, titles),
        *_extent(found, area, titles),
        *_agreement(found),
        *_technique(found),
        *_change(found),
    ]
    return tuple(sorted(facts, key=lambda fact: fact.attribute))


def _read(found: Electrical) -> Iterator[Fact]:
    """Which modes were used, and whether every material read with them has a dry reference."""
    for mode in MODES:
        places = [place for place in found.gathered.latest if place.mode == mode]
        yield Fact(f"{mode}-read", _yes_no(bool(places)), origin="the readings")
        if places:
            whole = all(place.reference is not None for place in places)
            yield Fact(f"{mode}-dry-reference", _yes_no(whole), origin="the readings")


def _levels(found: Electrical, titles: Mapping[str, str], parameters: Mapping[str, float]) -> Iterator[Fact]:
    apart = (*found.floors, *found.partitions)
    for mode in MODES:
        here = found.of(found.principal, mode)
        if here is None or here.excess is None:
            here = _wettest(r for r in found.readings if r.mode == mode and r.surface not in apart)
        yield from _excess(f"{mode}-excess", here, titles)
    yield from _excess("floor-excess", _wettest(r for r in found.readings if r.surface in found.floors), titles)
    partition = _wettest(r for r in found.readings if r.surface in found.partitions)
    yield from _excess("partition-excess", partition, titles)
    share = _raised_share([p for p in found.gathered.latest if p.surface not in found.floors], parameters)
    if share is not None:
        yield Fact("raised-share", share, origin="the readings")
    everywhere = _everywhere(found, parameters)
    if everywhere is not None:
        yield Fact("every-surface-slightly-raised", everywhere, origin="the readings")


def _wettest(readings: Iterator[SurfaceReading]) -> SurfaceReading | None:
    known = [r for r in readings if r.excess is not None]
    return max(known, key=lambda r: r.excess if r.excess is not None else 0.0, default=None)


def _excess(attribute: str, reading: SurfaceReading | None, titles: Mapping[str, str]) -> Iterator[Fact]:
    if reading is not None and reading.excess is not None:
        borrowed = any(p.reference_visit not in (None, p.visit) for p in reading.places)
        sureness = Sureness.FAIRLY_SURE if borrowed else Sureness.CERTAIN
        yield Fact(attribute, reading.excess, sureness, origin=_origin(reading, titles))


def _raised_share(places: Sequence[Place], parameters: Mapping[str, float]) -> float | None:
    """Share of the places read against a reference that are raised in any mode; None without any."""
    near: dict[str, Near[list[Place]]] = {}
    spots: list[list[Place]] = []
    for place in places:
        if place.excess is None:
            continue
        here = near.setdefault(place.surface, Near(parameters["same-place-radius"]))
        spot = here.first(place.x_mm, place.y_mm)
        if spot is None:
            spot = []
            here.add(place.x_mm, place.y_mm, spot)
            spots.append(spot)
        spot.append(place)
    return sum(any(p.is_raised for p in spot) for spot in spots) / len(spots) if spots else None


def _everywhere(found: Electrical, parameters: Mapping[str, float]) -> str | None:
    """Whether every wall surface is slightly raised, a partition among them; None where too few tell."""
    middles: dict[str, float] = {}
    highest: dict[str, float] = {}
    for reading in found.readings:
        middle = median_excess(reading)
        if reading.surface not in found.floors and middle is not None and reading.excess is not None:
            middles[reading.surface] = max(middle, middles.get(reading.surface, middle))
            highest[reading.surface] = max(reading.excess, highest.get(reading.surface, reading.excess))
    if len(middles) >= 2 and min(highest.values()) < 1:
        return "no"
    enough = len(middles) >= parameters["same-everywhere-surfaces"] and any(s in middles for s in found.partitions)
    slight = all(1 <= middle < parameters["excess-high"] for middle in middles.values())
    return "yes" if enough and slight else None


def _shapes(found: Electrical, titles: Mapping[str, str], parameters: Mapping[str, float]) -> Iterator[Fact]:
    for mode in (PINS, CAPACITANCE):
        reading = found.of(found.principal, mode)
        if reading is not None and reading.shape is not None and reading.shape.shape is not None:
            verdict = reading.shape
            sureness = _shape_sureness(verdict.fit, reading.referenced, parameters)
            yield Fact(f"{mode}-shape", reading.shape.shape, sureness, origin=_origin(reading, titles))
            yield Fact(f"{mode}-shape-fit", verdict.fit, origin=_origin(reading, titles))
    if found.shape is not None and found.principal is not None:
        origin = titles[found.principal]
        referenced = any(r.referenced for r in found.readings if r.surface == found.principal and r.shape is not None)
        yield Fact("wall-shape", found.shape, _shape_sureness(found.fit, referenced, parameters), origin=origin)
        yield Fact("wall-shape-fit", found.fit, origin=origin)


def _shape_sureness(fit: float, referenced: bool, parameters: Mapping[str, float]) -> Sureness:
    return Sureness.CERTAIN if referenced and fit >= parameters["shape-certain"] else Sureness.FAIRLY_SURE


def _profile(found: Electrical, titles: Mapping[str, str]) -> Iterator[Fact]:
    reading = found.of(found.principal, found.leading)
    if reading is None or reading.profile is None:
        return
    profile, origin = reading.profile, _origin(reading, titles)
    yield Fact("profile-heights", float(profile.heights), origin=origin)
    yield from _known(
        origin,
        ("profile-base-excess", profile.base_excess),
        ("profile-fall-off-height-mm", profile.fall_off_mm),
        ("profile-fall-off-bound-mm", profile.bound_mm),
        ("profile-peak-height-mm", profile.peak_mm),
        ("profile-crest-height-mm", profile.crest_mm),
        ("profile-fall-steadiness", profile.steadiness),
    )


def _extent(found: Electrical, area: Area, titles: Mapping[str, str]) -> Iterator[Fact]:
    reading = found.of(found.principal, found.leading)
    if reading is not None:
        origin = _origin(reading, titles)
        damp = reading.area
        patch = damp.centre_y_mm if damp is not None and damp.area_mm2 and found.shape == PATCH else None
        yield from _known(
            origin,
            ("base-run-length-mm", reading.run.length_mm if reading.run else None),
            ("damp-area-mm2", damp.area_mm2 if damp else None),
            ("patch-centre-height-mm", patch),
        )
    lined = [r for r in found.readings if r.edge == "yes"]
    principal = [r for r in found.readings if r.surface == found.principal and r.edge == "no" and r.mode != DEEP_PINS]
    if lined or principal:
        yield Fact("edge-line", _yes_no(bool(lined)), origin=_origin((lined or principal)[0], titles))
    for near in found.nearby:
        yield Fact(f"distance-to-{near.group}-mm", near.distance_mm, origin=titles[near.surface])
    above = top_above_outside_ground(found.gathered.latest, area.surfaces)
    yield from _known("the readings", ("damp-top-above-outside-ground-mm", above))


def _agreement(found: Electrical) -> Iterator[Fact]:
    if found.agreement is not None:
        if found.agreement.combination is not None:
            yield Fact("mode-agreement", found.agreement.combination, origin="the readings")
            yield Fact("mode-agreement-share", found.agreement.share, origin="the readings")
        yield from _known("the readings", ("mode-rank-correlation", found.agreement.correlation))
    if found.depth is not None and found.depth.contrast is not None:
        yield Fact("depth-contrast", found.depth.contrast, origin="the readings")


def _technique(found: Electrical) -> Iterator[Fact]:
    yield from _known("the readings", ("repeats-agree", found.repeats), ("reference-check-made", found.checked))
    if found.gathered.latest:
        kinds = {gap.kind for gap in found.gaps}
        yield Fact("coverage-gaps", float(len(kinds)), origin="the readings")
        for kind in GAPS:
            yield Fact(kind, _yes_no(kind in kinds), origin="the readings")


def _change(found: Electrical) -> Iterator[Fact]:
    if found.change is not None:
        origin = f"visits {found.change.earlier} and {found.change.later}"
        yield Fact("readings-change", found.change.verdict, origin=origin)
    if found.trend is not None:
        origin = "visits " + ", ".join(visit for visit, _, _ in found.trend.visits)
        yield Fact("readings-trend", found.trend.verdict, origin=origin)
        yield Fact("readings-change-per-month", found.trend.per_month, origin=origin)


def _known(origin: str, *pairs: tuple[str, Value | None]) -> Iterator[Fact]:
    for attribute, value in pairs:
        if value is not None:
            yield Fact(attribute, value, origin=origin)


def _origin(reading: SurfaceReading, titles: Mapping[str, str]) -> str:
    return f"{titles[reading.surface]}, {MODE_TITLES[reading.mode]}"


def _yes_no(truth: bool) -> str:
    return "yes" if truth else "no"
