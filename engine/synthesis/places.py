"""Where a made-up wall is read: columns of 4 to 8 heights, closer where the wall changes, with places left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.synthesis.flow import Field
from engine.synthesis.ranges import Draw
from engine.synthesis.state import State

MISSING = 0.2
"""Share of the places that are left out, behind furniture or forgotten."""

CLOSER_MM = 300.0
"""How far from the worst column further ones are added, once and again, by those who close in (common practice)."""

SEEN, CLOSES_IN = 0.75, 0.6
"""Shares of readers who start where the wall looks worst, and who close in there (judgement)."""


@dataclass(frozen=True, slots=True)
class Places:
    """Places of presses: column number, x and y [mm], each of one value per place, column by column upward."""

    column: Field
    x_mm: Field
    y_mm: Field


def draw_places(draw: Draw, state: State) -> Places:
    """Places on a wall, in columns of the same heights; a reader mostly starts where the wall looks worst.

    Along metal one column stands on it and, in most draws, one beside it, as a suspicious reader would press.
    """
    grid, random = state.grid, draw.random
    step = draw("column-step")
    worst = _worst(state) if draw.chance(SEEN) else random.uniform(0, grid.width_mm)
    start = (worst + random.uniform(-100, 100)) % step
    columns = list(np.arange(start, grid.width_mm, step))
    if draw.chance(CLOSES_IN):
        nearest = min(columns, key=lambda x: abs(x - worst))
        columns += [nearest + side * times * CLOSER_MM for side in (-1, 1) for times in (1, 2)]
    exact = []
    for line in state.metal:
        exact.append(line.x_mm)
        if draw.chance(0.7):
            exact.append(line.x_mm + 50 if line.x_mm < grid.width_mm / 2 else line.x_mm - 50)
    columns = [x for x in columns if 60 <= x <= grid.width_mm - 60 and all(abs(x - other) > 120 for other in exact)]
    heights = int(draw.note("heights", float(random.integers(4, 9))))
    levels = np.linspace(draw("lowest-place"), draw("highest-place") * grid.height_mm, heights)
    levels[1:-1] += random.uniform(-0.15, 0.15, heights - 2) * (levels[1] - levels[0])
    number, xs, ys = [], [], []
    for count, x in enumerate(sorted([*_apart(columns), *exact])):
        shift = 0.0 if x in exact else 20.0
        for y in levels:
            if draw.chance(MISSING):
                continue
            number.append(float(count))
            xs.append(round(float(x + random.uniform(-shift, shift))))
            ys.append(round(float(y + random.uniform(-15, 15))))
    return Places(np.asarray(number), np.asarray(xs, dtype=float), np.asarray(ys, dtype=float))


def _worst(state: State) -> float:
    """Where along the wall the surface is wettest [mm]: what a stain shows."""
    shown = (state.skin + state.conducting).max(axis=0)
    return float(state.grid.x[int(np.argmax(shown))])


def _apart(columns: list[float], least: float = 150.0) -> list[float]:
    kept: list[float] = []
    for x in sorted(columns):
        if not kept or x - kept[-1] >= least:
            kept.append(float(x))
    return kept
