"""Coverage: the grid that was read, against good practice; what is missing, as data.

A gap's ``kind`` is the id of its measure record, whose title and account say in the trade's words what it is and what
it leaves open. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from engine.case.models import Surface
from engine.measures.columns import Column
from engine.measures.gathering import floor_level
from engine.measures.near import Near
from engine.measures.places import CAPACITANCE, MODES, PINS, Gathered, Place

GAPS = (
    "gap-dry-reference",
    "gap-reference-check",
    "gap-repeats",
    "gap-second-mode",
    "gap-heights",
    "gap-height-step",
    "gap-wall-base",
    "gap-above-damp",
    "gap-column-spacing",
    "gap-edge",
    "gap-floor-edge",
    "gap-chimney-breast-sides",
    "gap-other-face",
)


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing missing from the grid: its kind, the surface and mode, and the numbers behind it.

    ``found`` is what was met and ``wanted`` what good practice asks, both in the unit of the matter (mm, presses,
    heights, places); ``x_mm`` and ``y_mm`` say where, if it is at a place.
    """

    kind: str
    surface: str | None = None
    mode: str | None = None
    material: str | None = None
    x_mm: float | None = None
    y_mm: float | None = None
    found: float | None = None
    wanted: float | None = None


Columns = Mapping[tuple[str, str], Sequence[Column]]
"""Columns by surface and mode."""


def coverage_gaps(
    surfaces: Sequence[Surface],
    gathered: Gathered,
    columns: Columns,
    checked: str | None,
    faces: frozenset[str],
    parameters: Mapping[str, float],
) -> tuple[Gap, ...]:
    """The gaps of an area's electrical readings; empty where none were taken.

    ``checked`` is the answer of `reference_check_made`; ``faces`` are the surfaces told to be party or partition walls.
    """
    if not gathered.latest:
        return ()
    gaps = [*_references(gathered), *_repeats(gathered, parameters)]
    if checked == "no":
        gaps.append(Gap("gap-reference-check"))
    for surface in surfaces:
        if surface.kind in ("floor", "ceiling") or not gathered.on([surface.id]):
            continue
        gaps += _second_mode(surface, gathered, parameters)
        for mode in (PINS, CAPACITANCE):
            listed = columns.get((surface.id, mode), ())
            if listed:
                gaps += _heights(surface, mode, listed, parameters)
                gaps += _spacing(surface, mode, listed, parameters)
                gaps += _edges(surface, mode, listed, parameters)
        gaps += _chimney(surface, surfaces, gathered, parameters)
    gaps += _floor(surfaces, gathered, columns, parameters)
    gaps += _faces(surfaces, gathered, faces)
    order = {kind: index for index, kind in enumerate(GAPS)}
    return tuple(sorted(gaps, key=lambda g: (order[g.kind], *(str(v) for v in _fields(g)), g.x_mm or 0, g.y_mm or 0)))


def _fields(gap: Gap) -> tuple[Any, ...]:
    return (gap.surface, gap.mode, gap.material)


def _references(gathered: Gathered) -> Iterator[Gap]:
    bare = {(p.mode, p.material) for p in gathered.latest if p.reference is None}
    for mode, material in bare:
        yield Gap("gap-dry-reference", mode=mode, material=material)


def _repeats(gathered: Gathered, parameters: Mapping[str, float]) -> Iterator[Gap]:
    wanted = parameters["grid-presses"]
    for mode in MODES:
        places = [place for place in gathered.latest if place.mode == mode]
        enough = sum(len(place.presses) >= wanted for place in places)
        if places and enough * 2 < len(places):
            yield Gap("gap-repeats", mode=mode, found=float(enough), wanted=float(len(places)))


def _second_mode(surface: Surface, gathered: Gathered, parameters: Mapping[str, float]) -> Iterator[Gap]:
    """One gap per mode: how many raised places were not read in the other mode within the radius of a place."""
    for mode, other in ((PINS, CAPACITANCE), (CAPACITANCE, PINS)):
        near: Near[Place] = Near(parameters["same-place-radius"])
        for place in gathered.on([surface.id], other):
            near.add(place.x_mm, place.y_mm, place)
        raised = [place for place in gathered.on([surface.id], mode) if place.is_raised]
        alone = [place for place in raised if near.first(place.x_mm, place.y_mm) is None]
        if alone:
            first = max(alone, key=lambda p: (p.excess or 0.0, -p.x_mm, -p.y_mm))
            count, whole = float(len(raised) - len(alone)), float(len(raised))
            yield Gap("gap-second-mode", surface.id, other, None, first.x_mm, first.y_mm, count, whole)


def _heights(surface: Surface, mode: str, columns: Sequence[Column], p: Mapping[str, float]) -> Iterator[Gap]:
    fullest = max(columns, key=lambda column: (len(column.levels), -column.x_mm))
    least = p["profile-least-heights"]
    if len(fullest.levels) < least:
        yield Gap("gap-heights", surface.id, mode, found=float(len(fullest.levels)), wanted=least)
    widest = p["grid-height-step"] * p["grid-step-allowance"]
    steps = [
        (high.y_mm - low.y_mm, column.x_mm, low.y_mm)
        for column in columns
        for low, high in pairwise(column.levels)
        if low.y_mm < p["grid-height-limit"] and high.y_mm - low.y_mm > widest
    ]
    if steps:
        step, x, y = max(steps, key=lambda s: (s[0], -s[1], -s[2]))
        yield Gap("gap-height-step", surface.id, mode, None, x, y, step, p["grid-height-step"])
    lowest = min(column.levels[0].y_mm for column in columns)
    if lowest > p["grid-base-height"]:
        yield Gap("gap-wall-base", surface.id, mode, found=lowest, wanted=p["grid-base-height"])
    top = surface.height_mm - floor_level(surface)
    for column in columns:
        if column.known and column.known[-1][1] >= 1 and column.known[-1][0] < top - p["wall-head-distance"]:
            yield Gap("gap-above-damp", surface.id, mode, None, column.x_mm, column.known[-1][0])


def _spacing(surface: Surface, mode: str, columns: Sequence[Column], p: Mapping[str, float]) -> Iterator[Gap]:
    widest = p["grid-column-step"] * p["grid-step-allowance"]
    ends = [0.0, *(column.x_mm for column in columns), surface.width_mm]
    steps = [(b - a, a) for a, b in pairwise(ends)]
    steps[0], steps[-1] = (2 * steps[0][0], 0.0), (2 * steps[-1][0], steps[-1][1])
    step, start = max(steps, key=lambda s: (s[0], -s[1]))
    if step > widest:
        yield Gap("gap-column-spacing", surface.id, mode, None, start, None, step, p["grid-column-step"])


def _edges(surface: Surface, mode: str, columns: Sequence[Column], p: Mapping[str, float]) -> Iterator[Gap]:
    """Neighbouring columns, one raised somewhere and the other nowhere, further apart than an edge should be."""
    wet = [(c.x_mm, any(excess >= 1 for _, excess in c.known)) for c in columns if c.known]
    for (left, first), (right, second) in pairwise(wet):
        if first != second and right - left > p["grid-edge-step"] * p["grid-step-allowance"]:
            yield Gap("gap-edge", surface.id, mode, None, (left + right) / 2, None, right - left, p["grid-edge-step"])


def _chimney(
    surface: Surface, surfaces: Sequence[Surface], gathered: Gathered, p: Mapping[str, float]
) -> Iterator[Gap]:
    """A breast drawn on a wall wants readings at both sides; one that is a surface wants another wall read."""
    places = gathered.on([surface.id])
    for feature in surface.features:
        if feature.kind != "chimney-breast":
            continue
        left, right = sorted((feature.x_mm, feature.to_x_mm))
        if not any(left <= place.x_mm <= right for place in places):
            continue
        for start, stop in ((left - p["grid-beside-chimney"], left), (right, right + p["grid-beside-chimney"])):
            inside = start < surface.width_mm and stop > 0
            if inside and not any(start <= place.x_mm < stop or start < place.x_mm <= stop for place in places):
                yield Gap("gap-chimney-breast-sides", surface.id, x_mm=(start + stop) / 2)
    walls = [other.id for other in surfaces if other.kind in ("wall", "reveal", "other")]
    if surface.kind == "chimney-breast" and not gathered.on(walls):
        yield Gap("gap-chimney-breast-sides", surface.id)


def _floor(surfaces: Sequence[Surface], gathered: Gathered, columns: Columns, p: Mapping[str, float]) -> Iterator[Gap]:
    if gathered.on([surface.id for surface in surfaces if surface.kind == "floor"]):
        return
    for surface in surfaces:
        feet = [
            column.known[0]
            for mode in (PINS, CAPACITANCE)
            for column in columns.get((surface.id, mode), ())
            if column.known
        ]
        if surface.kind != "floor" and any(y <= p["wall-base-height"] and excess >= 1 for y, excess in feet):
            yield Gap("gap-floor-edge", surface.id)


def _faces(surfaces: Sequence[Surface], gathered: Gathered, faces: frozenset[str]) -> Iterator[Gap]:
    """A raised party or partition wall with no second such surface read in the area."""
    read = [surface.id for surface in surfaces if surface.id in faces and gathered.on([surface.id])]
    if len(read) == 1 and any(place.is_raised for place in gathered.on(read)):
        yield Gap("gap-other-face", read[0])
