"""Where rising ground moisture leaves its salts: the crest near the upper limit of the damp."""

from __future__ import annotations

import numpy as np

from engine.synthesis.flow import Field, Grid
from engine.synthesis.ranges import Draw


def crest(draw: Draw, grid: Grid, rise_mm: float, run: Field, owner: str) -> Field:
    """Salts left by a rise to a height [mm] along a run of columns, of the grid's shape and 1 at their most.

    Evaporation takes water and leaves salts, so that the solution, of strength c₀ at the foot, is c₀·h/(h − y) strong
    at the height y, and saturated from h·(1 − c₀/c_s) up; what evaporates there leaves its salts there. Over the year
    evaporation swings, and h with its inverse square root (Hall and Hoff 2007); the salts then diffuse.
    """
    strength, swing = draw("salt-dilution", owner), draw("season-swing", owner)
    spread = draw("salt-spreading", owner)
    seasons = rise_mm / np.sqrt(1 + swing * np.sin(2 * np.pi * (np.arange(24) + 0.5) / 24))
    # a bump of the damp's upper limit along the wall, as different joints and bricks make
    waves = draw.random.normal(0, 0.03, 3) @ np.cos(
        np.outer((1, 2, 3), np.pi * grid.x / grid.width_mm) + draw.random.uniform(0, 2 * np.pi, (3, 1))
    )
    height = np.multiply.outer(seasons, 1 + waves)[:, None, :]
    y = grid.y[None, :, None]
    left = np.mean((y >= height * (1 - strength)) & (y <= height), axis=0) * run
    spread_up = _diffused(left, spread / grid.step_mm)
    spread_both = _diffused(spread_up.T, spread / grid.step_mm).T
    most = float(spread_both.max())
    return spread_both / most if most > 0 else spread_both


def _diffused(values: Field, sigma: float) -> Field:
    """Rows spread by a Gaussian of the given width in cells; nothing passes the ends."""
    rows = np.arange(len(values))
    kernel = np.exp(-0.5 * (np.subtract.outer(rows, rows) / sigma) ** 2)
    mirrored = np.exp(-0.5 * ((np.add.outer(rows, rows) + 1) / sigma) ** 2)
    far = np.exp(-0.5 * ((2 * len(values) - 1 - np.add.outer(rows, rows)) / sigma) ** 2)
    weights = kernel + mirrored + far
    return np.asarray((weights / weights.sum(axis=0)) @ values)
