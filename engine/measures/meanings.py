"""What a profile over a run of columns means on a wall: how tall and how wide the raised part is decides its name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations_with_replacement, pairwise
from statistics import median

import numpy as np
from numpy.typing import NDArray

from engine.measures.columns import shares
from engine.measures.likelihood import Wall
from engine.measures.templates import BUMP, FALL, LONG, RAISED_BUMP, RISE, STRIP, Array, Templates

BASE, CREST, PATCH, TOP, EVEN, STREAK, NONE = SHAPES = (
    "base-high-falling",
    "crest-over-drier-base",
    "patch",
    "top-down",
    "even",
    "streak",
    "none",
)
UNCLEAR, MIXED, SHAPELESS = "unclear", "mixed", "shapeless"
ANSWERS = (*SHAPES, UNCLEAR, MIXED, SHAPELESS)
ALONE, BETWEEN = 0.9, 0.8
"""Breadth of what raises one column alone, as a share of its stretch; from which share of the slenderness of a streak
on it is unclear whether it is one."""
TALL, ALONE_TALL = 0.5, 0.6
"""Share of the height read from which a strip may be a streak, and from which one in a single column may not be a patch
either, since nobody knows how broad it is."""
CREST_SEEN, CLOSED = 0.8, 0.6
"""Share of the least length of a crest over which its own columns must reach; share of its highest place to which a
column must fall above and below it to be closed in."""
NUMBER = {name: index for index, name in enumerate(ANSWERS)}


@dataclass(frozen=True, slots=True)
class Runs:
    """Every run of neighbouring columns: first and last column, extent, length, breadth and thickness [mm].

    The extent goes from the first column to the last, the length halfway to the columns beside them. The breadth is
    that of the run if it were all as raised as its most raised column; a column raised alone may well be narrower than
    the stretch it stands for. The thickness is how far up the wall the columns would be raised if they were all as
    raised as their most raised place. ``closed`` says whether in some column of the run the highest place stands
    between lower ones, read above and below it.
    """

    columns: int
    first: NDArray[np.int64]
    last: NDArray[np.int64]
    extent: Array
    length: Array
    breadth: Array
    thickness: Array
    closed: NDArray[np.bool_]


def runs_of(wall: Wall) -> Runs:
    """The runs of a wall's columns, each reaching halfway to the columns beside it."""
    columns = int(wall.column[-1]) + 1
    bounds = np.searchsorted(wall.column, np.arange(columns + 1)).tolist()
    each = [slice(start, stop) for start, stop in pairwise(bounds)]
    middles = [median(wall.x_mm[here].tolist()) for here in each]
    edges = np.array(shares(middles, 0.0, wall.width_mm))
    runs = list(combinations_with_replacement(range(columns), 2))
    first, last = np.array(runs).T
    raised = np.maximum(wall.excess, 0.0)
    mean = [float(raised[here].mean()) for here in each]
    sums = np.concatenate([[0.0], np.cumsum(mean * (edges[:, 1] - edges[:, 0]))])
    greatest = np.array([max(mean[i : j + 1]) for i, j in runs])
    breadth = (sums[last + 1] - sums[first]) / np.maximum(greatest, 1e-9)
    breadth = np.where(first == last, ALONE * breadth, breadth)
    peaks, heights, between = np.array([_standing(wall, here) for here in each]).T
    weights, closed = np.cumsum(np.r_[0.0, peaks]), np.cumsum(np.r_[0.0, between])
    thick = np.cumsum(np.r_[0.0, peaks * heights])
    thickness = (thick[last + 1] - thick[first]) / (weights[last + 1] - weights[first])
    at, length = np.array(middles), edges[last, 1] - edges[first, 0]
    return Runs(
        columns, first, last, at[last] - at[first], length, breadth, thickness, closed[last + 1] > closed[first]
    )


def _standing(wall: Wall, here: slice) -> tuple[float, float, bool]:
    """Of a column its highest excess, how far up it is raised [mm], and whether its highest place is closed in."""
    excess = [max(each, 1e-9) for each in wall.excess[here].tolist()]
    stretches = shares(wall.y_mm[here].tolist(), 0.0, wall.height_mm)
    most = max(excess)
    height = sum(each * (high - low) for each, (low, high) in zip(excess, stretches, strict=True)) / most
    inner = 0 < excess.index(most) < len(excess) - 1
    return most, height, inner and max(excess[0], excess[-1]) <= CLOSED * most


def called(
    templates: Templates, runs: Runs, wall: Wall, heights: tuple[float, float], p: Mapping[str, float]
) -> NDArray[np.int64]:
    """The name [position, run] of each profile, as a number of ANSWERS; ``heights`` are the lowest and highest read.

    *Highest at the base* wants readings at the foot, *top-down* at the head of the wall and some length, for a short
    one may be a patch that reaches the head. What is much taller than broad, and not the whole wall, is a *streak*. A
    bump or strip at the height of salts, along columns that reach far enough and longer than it is thick, is a *crest*;
    one that is closed in on all sides a *patch*, but not if it stands tall in a single column, for nobody knows how
    broad that is. What lies between stays *unclear*.
    """
    at = templates.at
    size, position = templates.size_mm[:, None], templates.position_mm[:, None]
    length, breadth = runs.length[None, :], runs.breadth[None, :]
    everywhere = ((runs.first == 0) & (runs.last == runs.columns - 1))[None, :]
    several = (runs.last > runs.first)[None, :]
    narrow = ~everywhere & (~several | (breadth <= p["streak-greatest-width"])) & (runs.columns > 2)
    slender = narrow * size / np.maximum(breadth, 1.0)
    streak = slender >= p["streak-least-slenderness"]
    stout = slender <= BETWEEN * p["streak-least-slenderness"]
    on_base = heights[0] <= p["wall-base-height"]
    at_head = heights[1] >= wall.height_mm - p["wall-head-distance"]
    long = everywhere | (runs.extent[None, :] >= CREST_SEEN * p["crest-least-length"])
    long = long & several & (length >= p["crest-least-length"]) & on_base
    crest = long & (position >= p["crest-least-height"]) & (position <= p["crest-greatest-height"])
    banded = crest & (everywhere | (length > 3 * runs.thickness[None, :]))
    closed_in = ~everywhere & (breadth <= 2.5 * size) & runs.closed[None, :]
    names = np.full(slender.shape, NUMBER[UNCLEAR], dtype=np.int64)

    def name(kind: str, shape: str, where: NDArray[np.bool_]) -> None:
        names[at[kind]][where] = NUMBER[shape]

    name(LONG, STREAK, narrow)
    name(FALL, BASE, stout[at[FALL]] & on_base)
    name(RISE, TOP, stout[at[RISE]] & at_head & (everywhere | (breadth >= p["head-least-length"])))
    for kind in (FALL, RISE):
        name(kind, STREAK, streak[at[kind]])
    name(BUMP, PATCH, closed_in[at[BUMP]])
    name(BUMP, CREST, banded[at[BUMP]])
    name(RAISED_BUMP, CREST, crest[at[RAISED_BUMP]])
    reach = size[at[STRIP]] / (heights[1] - heights[0])
    tall = reach >= TALL
    short = ~tall | (stout[at[STRIP]] & (several | (reach < ALONE_TALL)))
    name(STRIP, PATCH, closed_in[at[STRIP]] & short)
    name(STRIP, CREST, banded[at[STRIP]] & ~tall & runs.closed[None, :])
    name(STRIP, STREAK, tall & streak[at[STRIP]])
    return names
