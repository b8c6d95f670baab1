"""Where to press next: the places that would best settle the edge and the shape of the damp.

The criterion is bracketing. An edge of the damp lies somewhere between a raised place and the normal one beside it;
halving that distance removes half of what is not known. Each edge counts with the piece of wall that could be either,
its distance times the stretch it stands for [mm²], and the largest comes first. Where the outermost place is still
raised there is no bracket yet: the next press goes a step beyond, doubled each time. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from engine.case.models import Surface
from engine.measures.columns import Column, shares
from engine.measures.gathering import floor_level


@dataclass(frozen=True, slots=True)
class NextPlace:
    """A place to press [mm, height above the floor], the gap it closes, and the wall that it settles [mm²]."""

    surface: str
    mode: str
    x_mm: float
    y_mm: float
    closes: str
    settles_mm2: float


def next_places(
    surface: Surface, mode: str, columns: Sequence[Column], parameters: Mapping[str, float]
) -> tuple[NextPlace, ...]:
    """The most useful places to press next on one surface, most useful first, at most ``next-places-most``.

    Empty where no reading has a dry reference, or where every edge is known to ``edge-settled`` [mm]; along the wall to
    twice ``column-width``, for a press nearer than that to a column would count as part of it.
    """
    known = [column for column in columns if column.known]
    if not known:
        return ()
    top = surface.height_mm - floor_level(surface)
    across = [stop - start for start, stop in shares([c.x_mm for c in known], 0.0, surface.width_mm)]
    if len(known) == 1:
        across = [min(parameters["grid-column-step"], surface.width_mm)]
    found = [
        *_up_and_down(surface, mode, known, across, top, parameters),
        *_sideways(surface, mode, known, parameters),
    ]
    found.sort(key=lambda place: (-place.settles_mm2, place.x_mm, place.y_mm))
    return tuple(found[: int(parameters["next-places-most"])])


def _up_and_down(
    surface: Surface,
    mode: str,
    columns: Sequence[Column],
    across: Sequence[float],
    top: float,
    parameters: Mapping[str, float],
) -> Iterator[NextPlace]:
    step = parameters["reach-step"]
    for column, wide in zip(columns, across, strict=True):
        for (low, first), (high, second) in pairwise(column.known):
            if (first >= 1) != (second >= 1) and high - low > parameters["edge-settled"]:
                middle = (low + high) / 2
                yield NextPlace(surface.id, mode, column.x_mm, middle, "gap-height-step", wide * (high - low))
        lowest, highest = column.known[0], column.known[-1]
        if highest[1] >= 1 and top - highest[0] > parameters["edge-settled"]:
            reach = step
            if len(column.known) > 1 and column.known[-2][1] >= 1:
                reach = max(step, 2 * (highest[0] - column.known[-2][0]))
            y = min(highest[0] + reach, top)
            yield NextPlace(surface.id, mode, column.x_mm, y, "gap-above-damp", wide * (y - highest[0]))
        if lowest[1] >= 1 and lowest[0] > parameters["grid-base-height"]:
            y = parameters["grid-base-height"] / 3
            yield NextPlace(surface.id, mode, column.x_mm, y, "gap-wall-base", wide * (lowest[0] - y))


def _sideways(
    surface: Surface, mode: str, columns: Sequence[Column], parameters: Mapping[str, float]
) -> Iterator[NextPlace]:
    step, settled = parameters["reach-step"], max(parameters["edge-settled"], 2 * parameters["column-width"])
    spans = [_raised_span(column) for column in columns]
    for (left, a), (right, b) in pairwise(zip(columns, spans, strict=True)):
        gap = right.x_mm - left.x_mm
        if (a is None) != (b is None) and gap > settled:
            low, high = a or b or (0.0, 0.0)
            middle = (left.x_mm + right.x_mm) / 2
            yield NextPlace(surface.id, mode, middle, _peak(left if a else right), "gap-edge", gap * (high - low))
    for column, span, outward in ((columns[0], spans[0], -1), (columns[-1], spans[-1], 1)):
        room = column.x_mm if outward < 0 else surface.width_mm - column.x_mm
        if span is not None and room > settled:
            reach = step
            beside = columns[1 if outward < 0 else -2] if len(columns) > 1 else None
            if beside is not None and _raised_span(beside) is not None:
                reach = max(step, 2 * abs(column.x_mm - beside.x_mm))
            reach = min(reach, room)
            x = column.x_mm + outward * reach
            yield NextPlace(surface.id, mode, x, _peak(column), "gap-edge", reach * (span[1] - span[0]))


def _raised_span(column: Column) -> tuple[float, float] | None:
    """The heights that a column's raised places stand for, at least a hand's breadth; None with nothing raised."""
    raised = [y for y, excess in column.known if excess >= 1]
    return (min(raised), max(max(raised), min(raised) + 100.0)) if raised else None


def _peak(column: Column) -> float:
    return max(column.known, key=lambda pair: (pair[1], -pair[0]))[0]
