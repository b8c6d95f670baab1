"""Columns: places one above another, and the piece of wall that each place stands for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from engine.measures.places import Place


@dataclass(frozen=True, slots=True)
class Level:
    """A height in a column [mm above the floor] and its places; several where presses lie side by side."""

    y_mm: float
    places: tuple[Place, ...]

    @property
    def excess(self) -> float | None:
        """Median excess of the places at this height that have a dry reference."""
        known = [place.excess for place in self.places if place.excess is not None]
        return median(known) if known else None


@dataclass(frozen=True, slots=True)
class Column:
    """Places of one mode within a hand's breadth of a plumb line, as heights from the lowest up."""

    x_mm: float
    levels: tuple[Level, ...]

    @property
    def known(self) -> tuple[tuple[float, float], ...]:
        """(height, excess) of the levels with a dry reference, from the lowest up."""
        return tuple((level.y_mm, level.excess) for level in self.levels if level.excess is not None)


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
    return tuple(Column(median(p.x_mm for p in group), _levels(group, same_mm)) for group in groups)


def _levels(places: list[Place], same_mm: float) -> tuple[Level, ...]:
    groups: list[list[Place]] = []
    for place in sorted(places, key=lambda p: (p.y_mm, p.x_mm, p.value, p.instrument)):
        if groups and place.y_mm - groups[-1][0].y_mm <= same_mm:
            groups[-1].append(place)
        else:
            groups.append([place])
    return tuple(Level(median(p.y_mm for p in group), tuple(group)) for group in groups)


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
