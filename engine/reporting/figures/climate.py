"""The climate strip: surface temperatures against the dew point, by visit and as logged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

from engine.case.models import Area, Case
from engine.days import day_words
from engine.measures.loggers import read_loggers
from engine.measures.references import Visits
from engine.measures.room_air import VisitClimate, dew_point_or_none, visit_of
from engine.reporting.blocks import Table
from engine.reporting.figures.logged import logged_courses
from engine.reporting.figures.models import ClimateSpot, ClimateStrip, Figure
from engine.reporting.figures.wording import capital, counted, fixed, plain, signed


def climate_strips(
    case: Case,
    area: Area,
    parameters: Mapping[str, float],
    voided: frozenset[tuple[str, str]],
    folder: Path | None,
) -> tuple[ClimateStrip, ...]:
    """Surfaces against the dew point on visits, then what was logged over time; only those that there are.

    InvalidInput for faults in loggers' files. Without ``folder`` no series is read.
    """
    spots = tuple(_spots(case, area, parameters, voided))
    series = read_loggers(area, folder, parameters["logged-days-at-least"]).series if area.loggers else ()
    start, days, courses = logged_courses(area, series)
    strips = (ClimateStrip(spots, (), None, 0.0), ClimateStrip((), courses, start, days))
    return tuple(strip for strip in strips if strip.spots or strip.courses)


def climate_figure(found: ClimateStrip, area: str) -> Figure:
    """The strip as a figure."""
    logged = bool(found.courses)
    return Figure(
        id=f"climate-strip-{area}{'-logged' if logged else ''}",
        title="Climate as logged" if logged else "Surfaces against the dew point of the room air",
        alt=" ".join(_told_courses(found) if logged else _told_spots(found)),
        table=_course_table(found) if logged else _spot_table(found),
        data=found,
    )


def _spots(
    case: Case, area: Area, parameters: Mapping[str, float], voided: frozenset[tuple[str, str]]
) -> Iterator[ClimateSpot]:
    climate = VisitClimate(case, area, voided)
    visits = Visits(case)
    titles = {surface.id: surface.title or plain(surface.id) for surface in area.surfaces}
    ordered = []
    for number, one in enumerate(area.surface_temperatures):
        visit = visit_of(visits, one.visit, one.instrument)
        ordered.append((visits.day[visit.id], visit.id, number, visit, one))
    for *_, visit, one in sorted(ordered, key=lambda entry: entry[:3]):
        air = climate.spot(visit) or climate.mean(visit)
        yield ClimateSpot(
            visit_words=day_words(visit.on, weekday=False),
            place=one.place or titles.get(one.surface or "", "surface"),
            surface_c=one.temperature_c,
            tolerance_k=climate.tolerance(one, visit, parameters["surface-thermometer-tolerance"]),
            air_c=air.temperature_c if air else None,
            humidity_percent=air.humidity_percent if air else None,
            dew_point_c=dew_point_or_none(air) if air else None,
            set_aside=(visit.id, one.instrument or "") in voided,
        )


def _margin(spot: ClimateSpot) -> float | None:
    return None if spot.dew_point_c is None else spot.surface_c - spot.dew_point_c


def _told_spots(found: ClimateStrip) -> Iterator[str]:
    judged = [(spot, m) for spot in found.spots if (m := _margin(spot)) is not None and not spot.set_aside]
    yield f"{counted(len(found.spots), 'surface temperature was', 'surface temperatures were')} read on visits."
    for spot, margin in judged:
        side = "above" if margin >= 0 else "below"
        yield (
            f"{capital(spot.place)} on {spot.visit_words}: {fixed(spot.surface_c)} °C, {fixed(abs(margin))} K {side}"
            f" the dew point of the room air, {fixed(spot.dew_point_c or 0.0)} °C."
        )
    if judged:
        spot, margin = min(judged, key=lambda pair: pair[1])
        yield f"The nearest to the dew point is {spot.place}, by {fixed(margin)} K."
    bare = sum(spot.dew_point_c is None for spot in found.spots)
    if bare:
        yield f"{counted(bare, 'surface temperature has', 'surface temperatures have')} no room air to go with."
    aside = sum(spot.set_aside for spot in found.spots)
    if aside:
        yield f"{counted(aside, 'reading was', 'readings were')} set aside and not judged."


def _told_courses(found: ClimateStrip) -> Iterator[str]:
    start = day_words(date.fromisoformat(found.start or ""), weekday=False)
    yield f"Logged over {fixed(found.days, 0)} days from {start}."
    for course in found.courses:
        mean = sum(span.mean for span in course.spans) / len(course.spans)
        least, greatest = min(s.least for s in course.spans), max(s.greatest for s in course.spans)
        values = f"{fixed(least)} to {fixed(greatest)} {course.unit}, {fixed(mean)} on average"
        yield f"{capital(course.words)}: {values}."


def _spot_table(found: ClimateStrip) -> Table:
    rows = []
    for spot in found.spots:
        margin = _margin(spot)
        rows.append(
            (
                capital(spot.place),
                f"{spot.visit_words} (set aside)" if spot.set_aside else spot.visit_words,
                fixed(spot.surface_c),
                "" if spot.tolerance_k is None else f"± {fixed(spot.tolerance_k)}",
                "–" if spot.air_c is None else fixed(spot.air_c),
                "–" if spot.humidity_percent is None else fixed(spot.humidity_percent),
                "–" if spot.dew_point_c is None else fixed(spot.dew_point_c),
                "–" if margin is None else signed(margin),
            )
        )
    header = (
        "Surface",
        "Visit",
        "Surface [°C]",
        "Tolerance [K]",
        "Room air [°C]",
        "Relative humidity [%]",
        "Dew point [°C]",
        "Above the dew point [K]",
    )
    caption = "Surface temperatures against the dew point of the room air; a dash: not taken."
    return Table(caption, header, tuple(rows), (2, 3, 4, 5, 6, 7))


def _course_table(found: ClimateStrip) -> Table:
    rows = tuple(
        (
            course.logger,
            f"{capital(course.words)} [{course.unit}]",
            fixed(min(span.least for span in course.spans)),
            fixed(sum(span.mean for span in course.spans) / len(course.spans)),
            fixed(max(span.greatest for span in course.spans)),
        )
        for course in found.courses
    )
    return Table("What was logged.", ("Logger", "Series", "Least", "Mean", "Greatest"), rows, (2, 3, 4))
