"""Change between visits: the places read on both, and the median's course."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.case.models import Area, Case
from engine.days import day_words
from engine.measures.places import MODE_TITLES
from engine.measures.wall import Electrical
from engine.reporting.blocks import Table
from engine.reporting.figures.models import Figure, PlaceCourse, VisitChange
from engine.reporting.figures.wording import counted, fixed, plain, signed, span

VERDICTS = {
    "wetter": "the readings rose beyond their scatter",
    "drier": "the readings fell beyond their scatter",
    "unchanged": "no change beyond their scatter",
}


def visit_change(case: Case, area: Area, found: Electrical) -> VisitChange | None:
    """The latest change of an area; None where no two visits share enough places."""
    change = found.change
    if change is None:
        return None
    days = {visit.id: visit.on for visit in case.visits}
    titles = {surface.id: surface.title or plain(surface.id) for surface in area.surfaces}
    later = {
        (place.surface, place.mode, place.x_mm, place.y_mm): place.excess
        for place in found.gathered.history
        if place.visit == change.later and place.excess is not None
    }
    places = [
        PlaceCourse(
            surface=titles[one.surface],
            mode_words=MODE_TITLES[one.mode],
            x_mm=one.x_mm,
            height_mm=one.y_mm,
            before=after - one.change,
            after=after,
        )
        for one in change.places
        if (after := later.get((one.surface, one.mode, one.x_mm, one.y_mm))) is not None
    ]
    return VisitChange(
        earlier=day_words(days[change.earlier], weekday=False),
        later=day_words(days[change.later], weekday=False),
        days=change.days,
        verdict=VERDICTS[change.verdict],
        places=tuple(sorted(places, key=lambda p: (p.surface, p.mode_words, p.x_mm, p.height_mm))),
        median_change=change.median,
        error=change.error,
        course=_course(found, {visit: day_words(day, weekday=False) for visit, day in days.items()}),
    )


def change_figure(found: VisitChange, area: str) -> Figure:
    """The change as a figure."""
    return Figure(
        id=f"visit-change-{area}",
        title=f"Change from {found.earlier} to {found.later}",
        alt=" ".join(_told(found)),
        table=Table(
            f"Rise over the dry reference on {found.earlier} and on {found.later}; 1 is raised.",
            ("Surface", "Mode", "Right [mm]", "Above the floor [mm]", "Before", "After", "Change"),
            tuple(
                (
                    place.surface,
                    place.mode_words,
                    fixed(place.x_mm, 0),
                    fixed(place.height_mm, 0),
                    fixed(place.before),
                    fixed(place.after),
                    signed(place.after - place.before),
                )
                for place in found.places
            ),
            (2, 3, 4, 5, 6),
        ),
        data=found,
    )


def _course(found: Electrical, words: Mapping[str, str]) -> tuple[tuple[str, int, float], ...]:
    if found.trend is None:
        return ()
    first = found.trend.visits[0][1]
    return tuple((words[visit], day - first, level) for visit, day, level in found.trend.visits)


def _told(found: VisitChange) -> Iterator[str]:
    yield (
        f"{counted(len(found.places), 'place was', 'places were')} read on {found.earlier} and again {found.days} days"
        f" later on {found.later}: {found.verdict}."
    )
    fell = sum(place.after < place.before for place in found.places)
    yield (
        f"The median change of the rise over the dry reference is {signed(found.median_change)}, known to"
        f" {fixed(found.error)}, where 1 is raised; {fell} places fell and"
        f" {sum(place.after > place.before for place in found.places)} rose."
    )
    yield (
        f"Before they read {span((p.before for p in found.places), 1)} over the reference, after"
        f" {span((p.after for p in found.places), 1)}."
    )
    if found.course:
        levels = "; ".join(f"{fixed(level)} on {day}" for day, _, level in found.course)
        yield f"The median over the places common to all visits: {levels}."
