"""From places to what the comparison of shapes takes in: one mode on one surface, as arrays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import median, median_low, quantiles

import numpy as np

from engine.case.models import Surface
from engine.measures.arrays import distinct, medians
from engine.measures.columns import Column, columns_of
from engine.measures.gathering import floor_level
from engine.measures.likelihood import FURTHEST_OFFSET, NORMAL, Wall
from engine.measures.noise import median_gain
from engine.measures.places import Place
from engine.measures.templates import Array

MOST_COLUMNS, MOST_HEIGHTS = 12, 20
"""Beyond these, readings are gathered into so many columns and heights, by their medians."""


def wall_of(
    places: Sequence[Place],
    columns: Sequence[Column],
    spreads: Mapping[str, float],
    surface: Surface,
    parameters: Mapping[str, float],
) -> Wall | None:
    """The readings of one mode on one surface, in columns, for `shape_of`; None with nothing usable.

    Places with a dry reference are used where they give a shape a chance; otherwise those of the one material and
    instrument with most places, over the lowest of them: that tells a shape and never a level. Materials are not mixed
    without references, and with them each is taken over its own background, so that a change of material never reads as
    a change of moisture.
    """
    least = parameters["profile-least-heights"]
    referenced = [place for place in places if place.excess is not None]
    bare = _largest_group([place for place in places if place.reference is None and place.raised is not None])
    use_reference = len(referenced) >= least or len(referenced) >= len(bare)
    chosen = referenced if use_reference else bare
    if not chosen:
        return None
    background = None if use_reference else _lowest([place.value for place in chosen])
    apart = _backgrounds(chosen) if use_reference else {}
    if len(chosen) < len(places):
        columns = columns_of(chosen, parameters["column-width"], parameters["same-place-radius"])
    rows = []
    for j, column in enumerate(columns):
        for level in column.levels:
            for place in level.places:
                base = (place.reference if background is None else background) or 0.0
                step = place.raised or 1.0
                share = spreads[place.instrument] / median_gain(len(place.presses)) ** 0.5
                excess = (place.value - base) / step - apart.get((place.material, place.instrument), 0.0)
                rows.append((j, place.x_mm, level.y_mm, excess, base / step, share))
    table = np.array(rows, dtype=np.float64)
    table[:, 2] = _levelled(table[:, 2], parameters["level-height"])
    table = _gathered(table[np.lexsort((table[:, 2], table[:, 0]))])
    return Wall(
        column=table[:, 0].astype(np.int64),
        x_mm=table[:, 1],
        y_mm=table[:, 2],
        excess=table[:, 3],
        level=table[:, 4],
        share=table[:, 5],
        width_mm=surface.width_mm,
        height_mm=surface.height_mm - floor_level(surface),
        referenced=use_reference,
    )


def _levelled(heights: Array, apart: float) -> Array:
    """Heights no further than ``apart`` above the mean of those just below them, as one: the level that was meant."""
    order = np.argsort(heights, kind="stable")
    levels: list[list[float]] = []
    for height in heights[order].tolist():
        if levels and height - sum(levels[-1]) / len(levels[-1]) <= apart:
            levels[-1].append(height)
        else:
            levels.append([height])
    levelled = np.empty_like(heights)
    levelled[order] = [middle for level in levels for middle in [median(level)] * len(level)]
    return levelled


def _largest_group(places: Sequence[Place]) -> list[Place]:
    groups: dict[tuple[str, str, str], list[Place]] = {}
    for place in places:
        groups.setdefault((place.material, place.instrument, place.visit), []).append(place)
    if not groups:
        return []
    return groups[min(groups, key=lambda key: (-len(groups[key]), key))]


def _backgrounds(places: Sequence[Place]) -> dict[tuple[str, str], float]:
    """How far the normal readings of each material stand off its dry reference [multiples of raised].

    Empty with one material, where the comparison finds that out itself; a material with fewer than four normal places
    is taken to stand where its reference says.
    """
    normal: dict[tuple[str, str], list[float]] = {}
    for place in places:
        normal.setdefault((place.material, place.instrument), [])
        if place.excess is not None and place.excess < NORMAL:
            normal[place.material, place.instrument].append(place.excess)
    if len(normal) < 2:
        return {}
    return {
        kind: min(FURTHEST_OFFSET, max(-FURTHEST_OFFSET, median(excess)))
        for kind, excess in normal.items()
        if len(excess) >= 4
    }


def _lowest(values: Sequence[float]) -> float:
    """The lowest readings: the lower sixth, so that one stray low press does not count."""
    return quantiles(values, n=6, method="inclusive")[0] if len(values) > 1 else median_low(values)


def _gathered(
    table: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """The table as it is, or by medians over at most so many columns and heights."""
    columns, heights = distinct(table[:, 0]), distinct(table[:, 2])
    counts = np.bincount(table[:, 0].astype(np.int64))
    if len(columns) <= MOST_COLUMNS and counts.max() <= 2 * MOST_HEIGHTS:
        return table
    across = np.searchsorted(columns, table[:, 0]) * MOST_COLUMNS // max(len(columns), MOST_COLUMNS)
    up = np.searchsorted(heights, table[:, 2]) * MOST_HEIGHTS // max(len(heights), MOST_HEIGHTS)
    cells = across * MOST_HEIGHTS + up
    gathered = np.array([medians(table[cells == cell]) for cell in distinct(cells)])
    gathered[:, 0] = np.unique(distinct(cells) // MOST_HEIGHTS, return_inverse=True)[1]
    return gathered
