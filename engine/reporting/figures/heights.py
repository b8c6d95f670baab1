"""Profiles up a surface: pins beside capacitance against height."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median

from engine.case.models import Area, Surface
from engine.measures.columns import Column
from engine.measures.gathering import floor_level
from engine.measures.places import MODE_TITLES, Place
from engine.measures.wall import FLAT, Electrical, SurfaceReading
from engine.opinion.words import list_words
from engine.reporting.blocks import Table
from engine.reporting.figures.models import Figure, Height, HeightCourse, HeightPoint, HeightProfile
from engine.reporting.figures.walls import feature_words
from engine.reporting.figures.wording import capital, fixed, plain

LEVELS = ("outside-ground-line", "damp-proof-course-line", "skirting")
"""Features whose height matters to a profile."""


def height_profiles(area: Area, found: Electrical, column_width_mm: float) -> tuple[HeightProfile, ...]:
    """A profile of every upright surface that was read at two heights or more, in the order of the case."""
    profiles = []
    for surface in area.surfaces:
        readings = [r for r in found.readings if r.surface == surface.id]
        heights = {place.y_mm for reading in readings for place in reading.places}
        if surface.kind in FLAT or len(heights) < 2:
            continue
        at = _column_at(readings)
        courses = tuple(_course(reading, at, column_width_mm) for reading in readings)
        profiles.append(
            HeightProfile(
                surface=surface.id,
                title=surface.title or plain(surface.id),
                top_mm=surface.height_mm - floor_level(surface),
                courses=courses,
                heights=tuple(_heights(surface, at)),
            )
        )
    return tuple(profiles)


def height_figure(found: HeightProfile, area: str, shape: str = "") -> Figure:
    """A profile as a figure; ``shape`` is a sentence on the shape of the readings, where there is one."""
    modes = list_words(course.mode_words for course in found.courses)
    return Figure(
        id=f"height-profile-{area}-{found.surface}",
        title=f"{capital(found.title)}: {modes} against height",
        alt=" ".join(part for part in (*_told(found), shape) if part),
        table=_table(found),
        data=found,
    )


def _level(place: Place, referenced: bool) -> float | None:
    return place.excess if referenced else place.value


def _wettest(columns: Sequence[Column], referenced: bool) -> Column | None:
    """The column of two heights or more with the highest place."""
    tall = [column for column in columns if len(column.levels) > 1]
    if referenced:
        tall = [column for column in tall if len(column.known) > 1]
        return max(tall, key=lambda c: (max(e for _, e in c.known), -c.x_mm), default=None)
    return max(tall, key=lambda c: (max(p.value for level in c.levels for p in level.places), -c.x_mm), default=None)


def _column_at(readings: Sequence[SurfaceReading]) -> float | None:
    """Where the column with the highest excess of any mode stands, so that the modes are compared in one place."""
    columns = [c for reading in readings if (c := _wettest(reading.columns, True)) is not None]
    return max(columns, key=lambda c: (max(e for _, e in c.known), -c.x_mm)).x_mm if columns else None


def _course(reading: SurfaceReading, at: float | None, column_width_mm: float) -> HeightCourse:
    referenced = any(place.excess is not None for place in reading.places)
    near = [c for c in reading.columns if at is not None and abs(c.x_mm - at) <= column_width_mm]
    column = _wettest(near, referenced) or _wettest(reading.columns, referenced)
    line: tuple[tuple[float, float], ...] = ()
    profile = None
    if column is not None:
        profiles = reading.profile.columns if reading.profile is not None and referenced else ()
        profile = next((p for p in profiles if p.x_mm == column.x_mm), None)
        line = column.known if referenced else tuple(_values(column))
    points = [
        HeightPoint(place.x_mm, place.y_mm, level)
        for place in reading.places
        if (level := _level(place, referenced)) is not None
    ]
    return HeightCourse(
        mode=reading.mode,
        mode_words=MODE_TITLES[reading.mode],
        referenced=referenced,
        points=tuple(sorted(points, key=lambda p: (p.height_mm, p.x_mm, p.level))),
        line=line,
        column_mm=column.x_mm if column is not None else None,
        fall_off_mm=profile.fall_off_mm if profile is not None else None,
        bound_mm=profile.bound_mm if profile is not None else None,
        unreferenced=len(reading.places) - len(points),
    )


def _values(column: Column) -> Iterator[tuple[float, float]]:
    for level in column.levels:
        yield level.y_mm, median(place.value for place in level.places)


def _heights(surface: Surface, at: float | None) -> Iterator[Height]:
    """The heights that matter, above the floor, where the column stands; a line ends at its ends."""
    level = floor_level(surface)
    for feature in surface.features:
        if feature.kind not in LEVELS:
            continue
        low, high = sorted((feature.y_mm, feature.to_y_mm))
        height = high
        if feature.shape == "line" and at is not None and feature.x_mm != feature.to_x_mm:
            part = (at - feature.x_mm) / (feature.to_x_mm - feature.x_mm)
            height = feature.y_mm + min(1.0, max(0.0, part)) * (feature.to_y_mm - feature.y_mm)
        yield Height(feature_words(feature.kind), min(max(height, low), high) - level)


def _told(found: HeightProfile) -> Iterator[str]:
    yield f"Levels against height above the floor on the {found.title}."
    for course in found.courses:
        what = (
            "rise over the dry reference, where 1 is raised"
            if course.referenced
            else "reading, without a dry reference"
        )
        if course.line:
            levels = "; ".join(f"{fixed(level)} at {fixed(height, 0)} mm" for height, level in course.line)
            yield f"{capital(course.mode_words)}, {what}, {fixed(course.column_mm or 0, 0)} mm from the left: {levels}."
        elif course.points:
            yield f"{capital(course.mode_words)}, {what}: {len(course.points)} places, no two above one another."
        if course.fall_off_mm is not None:
            known = f", known to {fixed(course.bound_mm, 0)} mm either way" if course.bound_mm is not None else ""
            yield f"There it falls below raised at {fixed(course.fall_off_mm, 0)} mm{known}."
        if course.unreferenced:
            yield f"{course.unreferenced} more have no dry reference and are not shown."
    for height in found.heights:
        yield f"{capital(height.words)} at {fixed(height.height_mm, 0)} mm."


def _table(found: HeightProfile) -> Table:
    """For each height the least and greatest level of every mode, the highest first."""
    heights = sorted({p.height_mm for course in found.courses for p in course.points}, reverse=True)
    header = ["Above the floor [mm]"]
    for course in found.courses:
        what = "rise" if course.referenced else "reading"
        header += [f"{capital(course.mode_words)}, least {what}", f"{capital(course.mode_words)}, greatest {what}"]
    rows = []
    for height in heights:
        row = [fixed(height, 0)]
        for course in found.courses:
            here = [p.level for p in course.points if p.height_mm == height]
            row += [fixed(min(here)), fixed(max(here))] if here else ["–", "–"]
        rows.append(tuple(row))
    return Table(
        f"Levels by height: {found.title}. Rise is over the dry reference, 1 is raised; a dash: not read.",
        tuple(header),
        tuple(rows),
        tuple(range(len(header))),
    )
