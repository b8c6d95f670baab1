"""What a profile over a run of columns means on a wall: how tall and how wide the raised part is decides its name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine.measures.columns import shares
from engine.measures.likelihood import Wall
from engine.measures.templates import BUMP, FALL, LONG, PLATEAU, RAISED_BUMP, RISE, STRIP, Array, Family

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
ALONE, BETWEEN = 0.75, 0.8
"""Breadth of what raises one column alone, as a share of its stretch; from which share of the slenderness of a streak
on it is unclear whether it is one."""
NUMBER = {name: index for index, name in enumerate(ANSWERS)}


@dataclass(frozen=True, slots=True)
class Runs:
    """Every run of neighbouring columns: first and last column, length [mm], and breadth [mm].

    The breadth is that of the run if it were all as raised as its most raised column; a column raised alone may well be
    narrower than the stretch it stands for.
    """

    columns: int
    first: NDArray[np.int64]
    last: NDArray[np.int64]
    length: Array
    breadth: Array


def runs_of(wall: Wall) -> Runs:
    """The runs of a wall's columns, each reaching halfway to the columns beside it."""
    columns = int(wall.column[-1]) + 1
    middles = [float(np.median(wall.x_mm[wall.column == j])) for j in range(columns)]
    edges = np.array(shares(middles, 0.0, wall.width_mm))
    first, last = np.array([(i, j) for i in range(columns) for j in range(i, columns)]).T
    raised = np.maximum(wall.excess, 0.0)
    mean = np.array([raised[wall.column == j].mean() for j in range(columns)])
    sums = np.concatenate([[0.0], np.cumsum(mean * (edges[:, 1] - edges[:, 0]))])
    greatest = np.array([mean[i : j + 1].max() for i, j in zip(first, last, strict=True)])
    breadth = (sums[last + 1] - sums[first]) / np.maximum(greatest, 1e-9)
    breadth = np.where(first == last, ALONE * breadth, breadth)
    return Runs(columns, first, last, edges[last, 1] - edges[first, 0], breadth)


def called(
    family: Family, runs: Runs, wall: Wall, heights: tuple[float, float], p: Mapping[str, float]
) -> NDArray[np.int64]:
    """The name [position, run] of a profile, as a number of ANSWERS; ``heights`` are the lowest and the highest read.

    *Highest at the base* wants readings at the foot, *top-down* at the head of the wall and some length, for a short
    one may be a patch that reaches the head. What is much taller than broad, and not the whole wall, is a *streak*. A
    bump along a long run at the height of salts is a *crest*, one that is closed in on all sides a *patch*. What lies
    between stays *unclear*.
    """
    size, position = family.size_mm[:, None], family.position_mm[:, None]
    length, breadth = runs.length[None, :], runs.breadth[None, :]
    everywhere = ((runs.first == 0) & (runs.last == runs.columns - 1))[None, :]
    several = (runs.last > runs.first)[None, :]
    narrow = ~everywhere & (~several | (breadth <= p["streak-greatest-width"])) & (runs.columns > 2)
    slender = narrow * size / np.maximum(breadth, 1.0)
    on_base = heights[0] <= p["wall-base-height"]
    at_head = heights[1] >= wall.height_mm - p["wall-head-distance"]
    shape = np.full(slender.shape, NUMBER[UNCLEAR], dtype=np.int64)
    if family.kind == PLATEAU:
        return shape
    if family.kind == LONG:
        return np.where(narrow, NUMBER[STREAK], shape)
    closed_in = ~everywhere & (breadth <= 2.5 * size)
    if family.kind == STRIP:
        shape = np.where(closed_in & (slender <= BETWEEN * p["streak-least-slenderness"]), NUMBER[PATCH], shape)
        tall = size >= 0.5 * (heights[1] - heights[0])
        return np.where(tall & (slender >= p["streak-least-slenderness"]), NUMBER[STREAK], shape)
    if family.kind in (FALL, RISE):
        if family.kind == FALL and on_base:
            shape[:] = NUMBER[BASE]
        elif family.kind == RISE and at_head:
            shape = np.where(everywhere | (breadth >= p["head-least-length"]), NUMBER[TOP], shape)
        shape = np.where(slender > BETWEEN * p["streak-least-slenderness"], NUMBER[UNCLEAR], shape)
        return np.where(slender >= p["streak-least-slenderness"], NUMBER[STREAK], shape)
    in_band = (position >= p["crest-least-height"]) & (position <= p["crest-greatest-height"])
    banded = everywhere | (length > 2.5 * size) | (family.kind == RAISED_BUMP)
    crest = several & in_band & banded & (length >= p["crest-least-length"]) & on_base
    patch = closed_in & (family.kind == BUMP)
    return np.where(crest, NUMBER[CREST], np.where(patch, NUMBER[PATCH], shape))
