"""Weighed samples against height or depth: moisture as found beside hygroscopic moisture."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from engine.case.models import Area, Sample
from engine.measures.sample_profile import SampleMoisture
from engine.opinion.words import list_words
from engine.reporting.blocks import Table
from engine.reporting.figures.models import Figure, SamplePoint, SampleProfile
from engine.reporting.figures.wording import capital, fixed, plain


def sample_profiles(area: Area, samples: Iterable[SampleMoisture]) -> tuple[tuple[str, SampleProfile], ...]:
    """(surface id, profile) for every surface with weighed samples, in the order of the case; "" for no surface."""
    taken = {sample.id: sample for sample in area.samples}
    by_surface: dict[str, list[SampleMoisture]] = {}
    for one in samples:
        by_surface.setdefault(one.surface or "", []).append(one)
    titles = {surface.id: surface.title or plain(surface.id) for surface in area.surfaces}
    order = [*titles, *sorted(set(by_surface) - set(titles))]
    return tuple(
        (name, _profile(titles.get(name, "no surface named"), by_surface[name], taken))
        for name in order
        if name in by_surface
    )


def sample_figure(found: SampleProfile, area: str, surface: str) -> Figure:
    """A profile of samples as a figure."""
    against = {"height": "against height", "depth": "against depth", "sample": "side by side"}[found.axis]
    return Figure(
        id=f"sample-profile-{area}{f'-{surface}' if surface else ''}",
        title=f"Weighed samples {against}: {found.title}",
        alt=" ".join(_told(found)),
        table=_table(found),
        data=found,
    )


def _profile(title: str, samples: list[SampleMoisture], taken: dict[str, Sample]) -> SampleProfile:
    depths = {one.id: _depth(taken[one.id]) for one in samples}
    heights = {one.height_mm for one in samples if one.height_mm is not None}
    if len(heights) > 1:
        points = [_point(one, one.height_mm) for one in samples]
        return SampleProfile(title, "height", tuple(sorted(points, key=_order)))
    if len({depth for depth in depths.values() if depth is not None}) > 1:
        points = [_point(one, depths[one.id]) for one in samples]
        return SampleProfile(title, "depth", tuple(sorted(points, key=_order)))
    return SampleProfile(title, "sample", tuple(_point(one, None) for one in sorted(samples, key=lambda s: s.id)))


def _depth(sample: Sample) -> float | None:
    ends = [depth for depth in (sample.depth_from_mm, sample.depth_to_mm) if depth is not None]
    return sum(ends) / len(ends) if ends else None


def _point(one: SampleMoisture, at: float | None) -> SamplePoint:
    return SamplePoint(
        sample=one.id,
        at_mm=at,
        layer="surface layer" if one.skin else "depth not stated" if one.skin is None else "core",
        found_percent=one.found_percent,
        hygroscopic_percent=one.hygroscopic_percent,
        error_percent=one.error_percent,
    )


def _order(point: SamplePoint) -> tuple[bool, float, str]:
    return point.at_mm is None, point.at_mm or 0.0, point.sample


def _told(found: SampleProfile) -> Iterator[str]:
    yield (
        "Moisture as found, and the moisture that the material takes up from air at 75 % relative humidity, both in"
        f" percent of dry mass: {found.title}."
    )
    for point in found.points:
        parts = []
        if point.found_percent is not None:
            parts.append(f"{fixed(point.found_percent)} % as found")
        if point.hygroscopic_percent is not None:
            parts.append(f"{fixed(point.hygroscopic_percent)} % hygroscopic")
        yield f"{capital(_where(found, point))}: {list_words(parts)}."
    free = [
        (point, point.found_percent - point.hygroscopic_percent)
        for point in found.points
        if point.found_percent is not None and point.hygroscopic_percent is not None
    ]
    if free:
        point, most = max(free, key=lambda pair: pair[1])
        if most > point.error_percent:
            yield f"The most as found beyond hygroscopic is {fixed(most)} %, {_where(found, point)}."
        else:
            yield "Nowhere is there more as found than hygroscopic beyond the weighing error."


def _where(found: SampleProfile, point: SamplePoint) -> str:
    if found.axis == "sample" or point.at_mm is None:
        return f"sample {point.sample}, {point.layer}"
    way = "up" if found.axis == "height" else "deep"
    return f"at {fixed(point.at_mm, 0)} mm {way}, sample {point.sample}, {point.layer}"


def _table(found: SampleProfile) -> Table:
    axis = {"height": "Above the floor [mm]", "depth": "Depth [mm]", "sample": "Place [mm]"}[found.axis]
    rows = []
    for point in found.points:
        both = point.found_percent is not None and point.hygroscopic_percent is not None
        free = (point.found_percent or 0.0) - (point.hygroscopic_percent or 0.0)
        rows.append(
            (
                point.sample,
                "not stated" if point.at_mm is None else fixed(point.at_mm, 0),
                point.layer,
                "–" if point.found_percent is None else fixed(point.found_percent, 2),
                "–" if point.hygroscopic_percent is None else fixed(point.hygroscopic_percent, 2),
                fixed(free, 2) if both else "–",
                f"± {fixed(point.error_percent, 2)}",
            )
        )
    return Table(
        f"Weighed samples in percent of dry mass: {found.title}. A dash: not known.",
        ("Sample", axis, "Layer", "As found", "Hygroscopic", "As found less hygroscopic", "Weighing error"),
        tuple(rows),
        (1, 3, 4, 5, 6),
    )
