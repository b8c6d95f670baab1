"""All figures of an area, in the order in which a reader wants them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from engine.case.models import Area, Case
from engine.opinion.models import AreaOpinion, Opinion
from engine.reporting.figures.models import Figure, HeightProfile, WallMap
from engine.rulebook import Rulebook

SHAPE = "wall-shape"
"""The attribute whose value names the shape of an area's readings."""


def figures_of(
    case: Case, area_id: str, opinion: Opinion, rulebook: Rulebook, folder: Path | None = None
) -> tuple[Figure, ...]:
    """The figures of one area, only those that have data: maps, profiles, change, samples, climate, evidence.

    ``folder`` is the case's own, in which its loggers' files lie, without which no series is read. KeyError for an
    area that there is not; InvalidInput for faults in loggers' files.
    """
    from engine.reporting.figures.weights import evidence_figure, evidence_weights

    area, judged = _area(case, area_id), _judged(opinion, area_id)
    return (
        *_electrical(case, area, judged, rulebook),
        *_samples(case, area, judged, rulebook),
        *_climate(case, area, judged, rulebook, folder),
        *(evidence_figure(found, area.id) for found in evidence_weights(judged)),
    )


def walls_of(
    case: Case, area_id: str, opinion: Opinion, rulebook: Rulebook
) -> tuple[tuple[WallMap, ...], tuple[HeightProfile, ...]]:
    """The maps and profiles of an area's surfaces, those that show most first.

    That is the most raised surface, in the mode that stands for it, on the last visit on which it was read so. KeyError
    for an area that there is not.
    """
    area, judged = _area(case, area_id), _judged(opinion, area_id)
    if not any(surface.readings for surface in area.surfaces):
        return (), ()
    from engine.measures.wall import electrical
    from engine.reporting.figures.heights import height_profiles
    from engine.reporting.figures.walls import wall_maps

    numbers, voided = rulebook.numbers, _voided(judged)
    found = electrical(case, area, numbers, voided)
    maps = wall_maps(case, area, numbers, voided, found.gathered)
    profiles = height_profiles(area, found, numbers["column-width"])
    days = {visit.id: visit.on.toordinal() for visit in case.visits}
    return (
        tuple(sorted(maps, key=lambda m: (m.surface != found.principal, m.mode != found.leading, -days[m.visit]))),
        tuple(sorted(profiles, key=lambda p: p.surface != found.principal)),
    )


def _area(case: Case, area_id: str) -> Area:
    return {area.id: area for area in case.areas}[area_id]


def _judged(opinion: Opinion, area_id: str) -> AreaOpinion:
    return {area.id: area for area in opinion.areas}[area_id]


def _voided(judged: AreaOpinion) -> frozenset[tuple[str, str]]:
    return frozenset((item.visit, item.instrument) for item in judged.voided)


def _electrical(case: Case, area: Area, judged: AreaOpinion, rulebook: Rulebook) -> Iterator[Figure]:
    if not any(surface.readings for surface in area.surfaces):
        return
    from engine.explaining.wording import value_words
    from engine.measures.wall import electrical
    from engine.reporting.figures.changes import change_figure, visit_change
    from engine.reporting.figures.heights import height_figure, height_profiles
    from engine.reporting.figures.walls import wall_figure, wall_maps

    numbers, voided = rulebook.numbers, _voided(judged)
    found = electrical(case, area, numbers, voided)
    shapes = {found.principal: ""}
    if found.shape is not None:
        words = value_words(rulebook, SHAPE, found.shape)
        shapes[found.principal] = f"The shape that the readings make on this surface: {words}."
    for wall in wall_maps(case, area, numbers, voided, found.gathered):
        yield wall_figure(wall, area.id, shapes.get(wall.surface, ""))
    for profile in height_profiles(area, found, numbers["column-width"]):
        yield height_figure(profile, area.id, shapes.get(profile.surface, ""))
    change = visit_change(case, area, found)
    if change is not None:
        yield change_figure(change, area.id)


def _samples(case: Case, area: Area, judged: AreaOpinion, rulebook: Rulebook) -> Iterator[Figure]:
    if not area.samples:
        return
    from engine.measures.samples import sample_facts
    from engine.reporting.figures.weighed import sample_figure, sample_profiles

    samples = sample_facts(case, area, rulebook.numbers, _voided(judged)).samples
    for surface, profile in sample_profiles(area, samples):
        yield sample_figure(profile, area.id, surface)


def _climate(case: Case, area: Area, judged: AreaOpinion, rulebook: Rulebook, folder: Path | None) -> Iterator[Figure]:
    if not area.surface_temperatures and not area.loggers:
        return
    from engine.reporting.figures.climate import climate_figure, climate_strips

    for strip in climate_strips(case, area, rulebook.numbers, _voided(judged), folder):
        yield climate_figure(strip, area.id)
