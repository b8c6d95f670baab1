"""Where the spots of a map stand: columns, an order in each that keeps links short, and heights that fit the text.

The order within a column comes from repeated sweeps by the mean place of a spot's neighbours (the barycentre method
of Sugiyama, Tagawa and Toda 1981, from memory). Heights are then the least-squares fit to the neighbours' heights
that keeps the order and the gaps (isotonic regression by pooling adjacent violators, from memory). All lengths are in
pixels of the drawing; nothing is random.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.rulebook.drawing.selecting import CONCLUDING, Link, Map, Spot

COLUMN_WIDTH = 290
LEAST_GAP, MOST_GAP = 190, 480
"""Between columns; the taller the map, the wider, so that links do not stand too steep."""
LINE_HEIGHT, PADDING, GAP = 14, 7, 10
LETTERS = 40
"""Letters in a line of a spot; with a wide face of 11 px they still fit."""
LINES = 3
_SWEEPS = 12


@dataclass(frozen=True, slots=True)
class Box:
    """A spot with its place: ``x`` and ``y`` of the top left corner, and its text in lines."""

    spot: Spot
    x: float
    y: float
    height: float
    lines: tuple[str, ...]

    @property
    def middle(self) -> float:
        """The height of its middle."""
        return self.y + self.height / 2


@dataclass(frozen=True, slots=True)
class Layout:
    """Every box by id, the gap between columns, and the width and height of all."""

    boxes: Mapping[str, Box]
    gap: float
    width: float
    height: float


def arrange(chart: Map) -> Layout:
    """Place every spot of a map; the top left corner of all is at 0, 0."""
    columns = _columns(chart.spots)
    neighbours = _neighbours(chart.links)
    order = _ordered(columns, neighbours, ranked=chart.one_cause)
    lines = {spot.id: _wrapped(spot.title) for spot in chart.spots}
    heights = {name: len(text) * LINE_HEIGHT + 2 * PADDING for name, text in lines.items()}
    tops = _tops(order, heights, neighbours)
    least = min(tops.values(), default=0.0)
    height = max((tops[name] + heights[name] for name in tops), default=0.0) - least
    gap = min(max(height / 8, LEAST_GAP), MOST_GAP)
    spots = {spot.id: spot for spot in chart.spots}
    boxes = {
        name: Box(spots[name], number * (COLUMN_WIDTH + gap), tops[name] - least, heights[name], lines[name])
        for number, column in enumerate(order)
        for name in column
    }
    return Layout(boxes, gap, len(order) * (COLUMN_WIDTH + gap) - gap if order else 0.0, height)


def _columns(spots: Sequence[Spot]) -> list[list[Spot]]:
    """The columns that hold anything, each sorted by rank and id."""
    found: dict[int, list[Spot]] = {}
    for spot in sorted(spots, key=lambda one: (one.rank, one.id)):
        found.setdefault(spot.column, []).append(spot)
    return [found[number] for number in sorted(found)]


def _neighbours(links: Sequence[Link]) -> dict[str, list[tuple[str, float]]]:
    """For each spot its neighbours with the weight of the link to them."""
    near: dict[str, list[tuple[str, float]]] = {}
    for link in links:
        weight = abs(link.decibans) if link.decibans is not None else 1.0
        near.setdefault(link.source, []).append((link.target, weight))
        near.setdefault(link.target, []).append((link.source, weight))
    return near


def _ordered(
    columns: list[list[Spot]], near: Mapping[str, list[tuple[str, float]]], *, ranked: bool
) -> list[list[str]]:
    """The ids of each column in an order that keeps links short; ties keep the order before.

    When ``ranked``, only the rules that conclude findings are put in order, after the findings.
    """
    order = [[spot.id for spot in column] for column in columns]
    movable = [not ranked or column[0].column == CONCLUDING for column in columns]
    for sweep in range(_SWEEPS):
        forward = sweep % 2 == 0
        numbers = range(len(order)) if forward else reversed(range(len(order)))
        for number in (number for number in numbers if movable[number]):
            beside = [other for other in (number - 1, number + 1) if 0 <= other < len(order)]
            places = {
                name: (place + 0.5) / len(order[other]) for other in beside for place, name in enumerate(order[other])
            }
            own = {name: (place + 0.5) / len(order[number]) for place, name in enumerate(order[number])}
            means = {name: _mean(near.get(name, []), places, own[name]) for name in order[number]}
            order[number] = sorted(order[number], key=lambda name, means=means: means[name])  # type: ignore[misc]
    return order


def _mean(near: Sequence[tuple[str, float]], places: Mapping[str, float], otherwise: float) -> float:
    """The weighted mean place of the neighbours that have one."""
    found = [(places[name], weight) for name, weight in near if name in places]
    total = sum(weight for _, weight in found)
    return sum(place * weight for place, weight in found) / total if total else otherwise


def _tops(
    order: list[list[str]], heights: Mapping[str, float], near: Mapping[str, list[tuple[str, float]]]
) -> dict[str, float]:
    """The top of every box: the fullest column is packed, the others follow their neighbours outwards from it."""
    if not order:
        return {}
    totals = [sum(heights[name] + GAP for name in column) for column in order]
    fullest = totals.index(max(totals))
    tops: dict[str, float] = {}
    place = 0.0
    for name in order[fullest]:
        tops[name] = place
        place += heights[name] + GAP
    outwards = [*range(fullest - 1, -1, -1), *range(fullest + 1, len(order))]
    for number in outwards:
        middles = {name: top + heights[name] / 2 for name, top in tops.items()}
        column = order[number]
        spread = [(index + 0.5) * totals[fullest] / len(column) for index in range(len(column))]
        wanted = [_mean(near.get(name, []), middles, spread[index]) for index, name in enumerate(column)]
        tops |= _fitted(column, wanted, heights)
    return tops


def _fitted(column: Sequence[str], wanted: Sequence[float], heights: Mapping[str, float]) -> dict[str, float]:
    """Tops as near as can be to the wanted middles (least squares), in order and without overlap."""
    offsets = []
    place = 0.0
    for name in column:
        offsets.append(place)
        place += heights[name] + GAP
    targets = [
        middle - heights[name] / 2 - offset for name, middle, offset in zip(column, wanted, offsets, strict=True)
    ]
    pools: list[tuple[float, int]] = []
    for target in targets:
        pools.append((target, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (one, first), (other, second) = pools[-2:]
            pools[-2:] = [((one * first + other * second) / (first + second), first + second)]
    levels = [level for level, count in pools for _ in range(count)]
    return {name: level + offset for name, level, offset in zip(column, levels, offsets, strict=True)}


def _wrapped(title: str) -> tuple[str, ...]:
    return tuple(textwrap.wrap(title, LETTERS, max_lines=LINES, placeholder=" …")) or ("",)
