"""What was measured in a practice case, at the places that a trainee names, in the words of somebody reading it out."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from engine.case.models import Instrument, Reading, Surface
from engine.errors import nearest
from engine.practising.exercise import Exercise
from engine.practising.pieces import (
    CHECK,
    DRY,
    PLAN,
    Piece,
    reading_piece,
)
from engine.rulebook import Rulebook

SCALES = {"relative": "a relative scale", "wood-percent": "a wood scale, which in a wall is only relative"}


@dataclass(frozen=True, slots=True)
class Measured:
    """What a measurement gives; its effort counts once, or for ``each`` new piece."""

    title: str
    effort: str
    lines: tuple[str, ...] = ()
    pieces: tuple[Piece, ...] = ()
    each: bool = False


class NotMeasured(Exception):
    """A place or an instrument that the request leaves open, with what would be understood."""


def press(
    exercise: Exercise, rulebook: Rulebook, name: str, surface: str, x_mm: float | None, heights: Sequence[float]
) -> Measured:
    """Readings near the places named: single heights at a distance, a whole column, or a whole row."""
    used = _instruments(exercise, name)
    wall = _surface(exercise, surface, {instrument.id for instrument in used})
    readings = [one for one in wall.readings if one.instrument in {instrument.id for instrument in used}]
    places = sorted({(one.x_mm, one.y_mm) for one in readings})
    near = rulebook.parameter("practice-near")
    title = f"{used[0].id} on the {_name(wall)}"
    wanted = _wanted(places, x_mm, heights, near, rulebook.parameter("practice-in-line"))
    lines = [f"on {SCALES.get(used[0].scale, used[0].scale)}; mm from the left and up from the bottom"]
    pieces: list[Piece] = []
    for at, found in wanted:
        if found is None:
            lines.append(_nothing(at, places))
            continue
        here = [one for one in readings if (one.x_mm, one.y_mm) == found]
        pieces += [reading_piece(wall, one) for one in here]
        lines.append(f"{found[0]:g}, {found[1]:g}: {_presses(exercise, here)}")
    return Measured(title, "press", tuple(lines), tuple(dict.fromkeys(pieces)), each=True)


_Place = tuple[float, float]


def _wanted(
    places: Sequence[_Place], x_mm: float | None, heights: Sequence[float], near: float, in_line: float
) -> list[tuple[_Place, _Place | None]]:
    """Each place wanted with the place of the case that stands for it; None where there is none near."""
    if x_mm is not None and heights:
        return [((x_mm, y), _closest(places, (x_mm, y), near)) for y in heights]
    if x_mm is not None:
        column = _closest([(x, 0.0) for x, _ in places], (x_mm, 0.0), near)
        chosen = [place for place in places if column is not None and abs(place[0] - column[0]) <= in_line]
        chosen.sort(key=lambda place: place[1])
        return [(place, place) for place in chosen] or [((x_mm, math.nan), None)]
    row = _closest([(0.0, y) for _, y in places], (0.0, heights[0]), near)
    chosen = [place for place in places if row is not None and abs(place[1] - row[1]) <= in_line]
    return [(place, place) for place in chosen] or [((math.nan, heights[0]), None)]


def _closest(places: Iterable[_Place], at: _Place, near: float) -> _Place | None:
    found = min(places, key=lambda place: (math.dist(place, at), place), default=None)
    return found if found is not None and math.dist(found, at) <= near else None


def _nothing(at: _Place, places: Sequence[_Place]) -> str:
    where = f"{at[0]:g} from the left" if math.isnan(at[1]) else f"{at[1]:g} up"
    if not math.isnan(at[0]) and not math.isnan(at[1]):
        where = f"{at[0]:g} from the left, {at[1]:g} up"
    if not places:
        return f"{where}: nothing was read on this surface with it."
    columns, rows = ([min(side), max(side)] for side in zip(*places, strict=True))
    return (
        f"{where}: not read there. It was pressed from {columns[0]:g} to {columns[1]:g} along and from {rows[0]:g} to "
        f"{rows[1]:g} up."
    )


def _presses(exercise: Exercise, readings: Sequence[Reading]) -> str:
    said = []
    for one in readings:
        deep = f" at {one.depth_mm:g} mm depth" if one.depth_mm else ""
        day = f" ({exercise.day(one.visit)})" if one.visit and len(exercise.case.visits) > 1 else ""
        note = f"; {one.note}" if one.note else ""
        said.append(f"{' '.join(f'{value:g}' for value in (one.value, *one.repeats))}{deep}{day}{note}")
    return "; ".join(said)


def dry(exercise: Exercise, name: str, surface: str) -> Measured:
    """The dry references of an instrument on a surface, or on every surface of the area."""
    used = {one.id for one in _instruments(exercise, name)}
    walls = [_surface(exercise, surface)] if surface else list(exercise.area.surfaces)
    lines, pieces = [], []
    for wall in walls:
        for one in wall.dry_references:
            if one.instrument in used:
                day = f" ({exercise.day(one.visit)})" if one.visit and len(exercise.case.visits) > 1 else ""
                values = " ".join(f"{value:g}" for value in (one.value, *one.repeats))
                place = f", {one.place}" if one.place else ""
                lines.append(f"{one.material.replace('-', ' ')}{place}: {values}{day}")
                pieces.append((DRY, wall.id, one.instrument))
    return Measured(f"dry reference, {name}", "press", tuple(lines), tuple(dict.fromkeys(pieces)), each=True)


def check(exercise: Exercise, name: str) -> Measured:
    """How an instrument reads on a known reference."""
    lines, pieces = [], []
    for visit in exercise.case.visits:
        for one in visit.instruments:
            if one.id not in {used.id for used in _instruments(exercise, name)}:
                continue
            for done in one.checks:
                day = f"{exercise.day(visit.id)}, " if len(exercise.case.visits) > 1 else ""
                due = f"{done.expected:g} ± {done.tolerance:g}"
                lines.append(f"{day}{done.when} the readings: {done.result:g} where {due} is due")
                pieces.append((CHECK, one.id))
    return Measured(f"reference check, {name}", "look", tuple(lines), tuple(dict.fromkeys(pieces)))


def plan(exercise: Exercise, surface: str) -> Measured:
    """A surface measured up: its size and material, and what is recorded on, in or behind it."""
    wall = _surface(exercise, surface)
    lines = [f"{wall.width_mm:g} wide, {wall.height_mm:g} high, {wall.material.replace('-', ' ')}"]
    for zone in wall.zones:
        box = _box(zone.x_mm, zone.to_x_mm, zone.y_mm, zone.to_y_mm)
        lines.append(f"{zone.material.replace('-', ' ')}: {box}")
    for item in wall.features:
        note = f"; {item.note}" if item.note else ""
        lines.append(f"{item.kind.replace('-', ' ')}: {_box(item.x_mm, item.to_x_mm, item.y_mm, item.to_y_mm)}{note}")
    if not wall.features:
        lines.append("nothing on, in or behind it is recorded")
    pieces = ((PLAN, wall.id),) if wall.features else ()
    return Measured(f"{_name(wall)} measured up", "meter", tuple(lines), pieces)


def _box(x: float, to_x: float, y: float, to_y: float) -> str:
    along = f"{x:g}" if x == to_x else f"{x:g} to {to_x:g}"
    up = f"{y:g}" if y == to_y else f"{y:g} to {to_y:g}"
    return f"{along} from the left, {up} up"


def instruments(exercise: Exercise) -> tuple[Instrument, ...]:
    """The instruments of a case, each once."""
    return tuple({one.id: one for visit in exercise.case.visits for one in visit.instruments}.values())


def _instruments(exercise: Exercise, name: str) -> list[Instrument]:
    said = name.lower()
    known = instruments(exercise)
    found = [one for one in known if one.id == said] or [one for one in known if one.mode == said]
    if not found:
        listed = ", ".join(dict.fromkeys(one.id for one in known)) or "none"
        close = nearest(said, [*(one.id for one in known), *(one.mode for one in known)])
        hint = f" Did you mean {close}?" if close else ""
        raise NotMeasured(f"{name or 'That'} is not among the instruments of this case: {listed}.{hint}")
    return found


def _surface(exercise: Exercise, name: str, used: Collection[str] = ()) -> Surface:
    """The surface that a name means; without a name the only one, or the only one read with these instruments."""
    surfaces = exercise.area.surfaces
    read = [one for one in surfaces if {reading.instrument for reading in one.readings} & set(used)]
    if not name and len(read) == 1:
        return read[0]
    said = "-".join(name.lower().split())
    titled = [one for one in surfaces if said.replace("-", " ") in (one.title or "").lower()]
    found = (
        [one for one in surfaces if one.id == said] or [one for one in surfaces if one.id.startswith(said)] or titled
    )
    if len(found) == 1:
        return found[0]
    if not surfaces:
        raise NotMeasured("No surface was read in this case.")
    listed = ", ".join(one.id for one in surfaces)
    if name and not found:
        raise NotMeasured(f"There is no surface {name!r}. There are: {listed}.")
    raise NotMeasured(f"Say on which surface, such as: on {surfaces[0].id}. There are: {listed}.")


def _name(surface: Surface) -> str:
    return (surface.title or surface.id.replace("-", " ")).removeprefix("the ")
