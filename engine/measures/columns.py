"""Columns: places one above another, and the piece of wall that each place stands for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from engine.measures.places import Place


@dataclass(frozen=True, slots=True)
class Level:
    """A height in a column [mm above the floor] and its places; several where presses lie side by side.

    ``excess`` is the median of the places that have a dry reference, None where none has.
    """

    y_mm: float
    places: tuple[Place, ...]
    excess: float | None


@dataclass(frozen=True, slots=True)
class Column:
    """Places of one mode within a hand's breadth of a plumb line, as heights from the lowest up.

    ``known`` holds (height, excess) of the levels with a dry reference.
    """

    x_mm: float
    levels: tuple[Level, ...]
    known: tuple[tuple[float, float], ...]


def columns_of(places: Iterable[Place], width_mm: float, same_mm: float) -> tuple[Column, ...]:
    """Cluster places into columns no further than ``width_mm`` from the column's mean, left to right.

    Places within ``same_mm`` in height of the lowest one of a level share that level.
    """
    groups: list[list[Place]] = []
    for place in sorted(places, key=lambda p: (p.x_mm, p.y_mm, p.value, p.instrument)):
        if groups and place.x_mm - sum(p.x_mm for p in groups[-1]) / len(groups[-1]) <= width_mm:
            groups[-1].append(place)
        else:
            groups.append([place])
    return tuple(_column(group, same_mm) for group in groups)


def _column(places: list[Place], same_mm: float) -> Column:
    levels = _levels(places, same_mm)
    known = tuple((level.y_mm, level.excess) for level in levels if level.excess is not None)
    return Column(median(place.x_mm for place in places), levels, known)


def _levels(places: list[Place], same_mm: float) -> tuple[Level, ...]:
    groups: list[list[Place]] = []
    for place in sorted(places, key=lambda p: (p.y_mm, p.x_mm, p.value, p.instrument)):
        if groups and place.y_mm - groups[-1][0].y_mm <= same_mm:
            groups[-1].append(place)
        else:
            groups.append([place])
    return tuple(_level(group) for group in groups)


def _level(places: list[Place]) -> Level:
    known = [place.excess for place in places if place.excess is not None]
    return Level(median(place.y_mm for place in places), tuple(places), median(known) if known else None)


def shares(positions: list[float], least: float, greatest: float) -> list[tuple[float, float]]:
    """The stretch that each of some sorted positions stands for [mm].

    Each reaches halfway to its neighbours; the outermost reach outward by half the usual (median) step, and never
    past ``least`` and ``greatest``. A single position stands for nothing on either side.
    """
    if len(positions) < 2:
        return [(position, position) for position in positions]
    middles = [(a + b) / 2 for a, b in pairwise(positions)]
    reach = median(b - a for a, b in pairwise(positions)) / 2
    start = min(positions[0], max(least, positions[0] - reach))
    stop = max(positions[-1], min(greatest, positions[-1] + reach))
    return list(zip([start, *middles], [*middles, stop], strict=True))
