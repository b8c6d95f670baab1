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

LEAST_HEIGHTS, MOST_HEIGHTS = 4, 8

SEEN, CLOSES_IN = 0.8, 0.6
"""Shares of readers who start where the wall looks worst, and who close in there (judgement)."""


@dataclass(frozen=True, slots=True)
class Places:
    """Places of presses: column number, x and y [mm], each of one value per place, column by column upward."""

    column: Field
    x_mm: Field
    y_mm: Field


def draw_places(draw: Draw, state: State) -> Places:
    """Places on a wall, in columns of the same heights; a reader mostly takes in the place that looks worst.

    Along metal one column stands on it and, in most draws, one beside it, as a suspicious reader would press.
    """
    grid, random = state.grid, draw.random
    step = draw("column-step")
    worst, worst_height = _worst(state)
    sees = draw.chance(SEEN)
    if not sees:
        worst = random.uniform(0, grid.width_mm)
    start = float(np.clip(worst + random.uniform(-100, 100), 60, grid.width_mm - 60)) % step
    columns = list(np.arange(start, grid.width_mm, step))
    closes_in = draw.chance(CLOSES_IN)
    if closes_in:
        nearest = min(columns, key=lambda x: abs(x - worst))
        columns += [nearest + side * times * CLOSER_MM for side in (-1, 1) for times in (1, 2)]
    exact = []
    for line in state.metal:
        exact.append(line.x_mm)
        if draw.chance(0.7):
            exact.append(line.x_mm + 50 if line.x_mm < grid.width_mm / 2 else line.x_mm - 50)
    columns = [x for x in columns if all(abs(x - other) > 120 for other in exact)]
    heights = int(draw.note("heights", float(random.integers(LEAST_HEIGHTS, MOST_HEIGHTS + 1))))
    levels = np.linspace(draw("lowest-place"), draw("highest-place") * grid.height_mm, heights)
    levels[1:-1] += random.uniform(-0.15, 0.15, heights - 2) * (levels[1] - levels[0])
    if sees:
        reached = np.clip(worst_height + random.uniform(-100, 100), 50, grid.height_mm - 50)
        levels[int(np.argmin(np.abs(levels - reached)))] = reached
        if closes_in and heights <= MOST_HEIGHTS - 2:
            levels = np.asarray(_apart([*levels, reached - CLOSER_MM, reached + CLOSER_MM], 30, grid.height_mm))
    number, xs, ys = [], [], []
    for count, x in enumerate(sorted([*_apart(columns, 60, grid.width_mm), *exact])):
        shift = 0.0 if x in exact else 20.0
        for y in levels:
            if draw.chance(MISSING):
                continue
            number.append(float(count))
            xs.append(round(float(x + random.uniform(-shift, shift))))
            ys.append(round(float(y + random.uniform(-15, 15))))
    return Places(np.asarray(number), np.asarray(xs, dtype=float), np.asarray(ys, dtype=float))


def _worst(state: State) -> tuple[float, float]:
    """Where the surface is wettest, x and y [mm]: what a stain shows."""
    shown = state.skin + state.conducting
    row, column = np.unravel_index(int(np.argmax(shown)), shown.shape)
    return float(state.grid.x[column]), float(state.grid.y[row])


def _apart(positions: list[float], margin_mm: float, length_mm: float) -> list[float]:
    """The positions in order, without those within the margin of either end or 150 mm of the one before."""
    kept: list[float] = []
    for position in sorted(positions):
        if margin_mm <= position <= length_mm - margin_mm and (not kept or position - kept[-1] >= 150):
            kept.append(float(position))
    return kept
