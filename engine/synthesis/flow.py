"""Water on the move in a wall that dries from its faces: where it is wet, and how wet.

The steady state of Darcy's law in a wall of even thickness b that evaporates e from its faces wherever it is wet.
With a diffusivity that grows exponentially with wetness, and a conductivity that does so with suction (Gardner), the
flux potential φ (1 at saturation, 0 where the wall is air-dry) obeys, with y upward,

    ∇²φ + α ∂φ/∂y = (2/h²)·(1 − q/e)  wherever 0 < φ < 1,  φ = 0 elsewhere,

where q [mm/min] is the water that enters per unit of wall face, α [1/mm] the pull of gravity against suction and h the
height at which rise and evaporation balance (Hall and Hoff 2007): over a saturated foot and without gravity the
solution is φ = (1 − y/h)², all of whose flux evaporates by h. Water that a saturated place cannot take runs off.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float64]

TOLERANCE = 2e-5
"""Change of the potential per sweep below which it is steady."""

RELAXATION = 1.75
"""Over-relaxation of each step, between 1 and 2."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Square cells over a wall; ``x`` and ``y`` are the centres of columns and rows [mm], y upward."""

    width_mm: float
    height_mm: float
    step_mm: float = 50.0

    @property
    def x(self) -> Field:
        """Centres of the columns [mm]."""
        return _centres(self.width_mm, self.step_mm)

    @property
    def y(self) -> Field:
        """Centres of the rows [mm], from the floor up."""
        return _centres(self.height_mm, self.step_mm)

    @property
    def mesh(self) -> tuple[Field, Field]:
        """The centres of all cells [mm], each of shape (rows, columns)."""
        x, y = np.meshgrid(self.x, self.y)
        return x, y

    def at(self, values: Field, x_mm: Field, y_mm: Field) -> Field:
        """Values at places [mm], linear between centres and level beyond the outermost ones."""
        rows, columns = values.shape
        across = np.clip(np.asarray(x_mm) / self.step_mm - 0.5, 0, columns - 1)
        up = np.clip(np.asarray(y_mm) / self.step_mm - 0.5, 0, rows - 1)
        left, low = np.minimum(across.astype(int), columns - 2), np.minimum(up.astype(int), rows - 2)
        a, b = across - left, up - low
        lower = values[low, left] * (1 - a) + values[low, left + 1] * a
        upper = values[low + 1, left] * (1 - a) + values[low + 1, left + 1] * a
        return np.asarray(lower * (1 - b) + upper * b)


def _centres(length_mm: float, step_mm: float) -> Field:
    count = max(2, round(length_mm / step_mm))
    return np.asarray((np.arange(count) + 0.5) * step_mm, dtype=np.float64)


def potential(
    grid: Grid, rise_mm: float, inflow: Field, foot: Field, head: Field, gravity: float = 0.0, sweeps: int = 3000
) -> Field:
    """The flux potential, 0 to 1, of shape (rows, columns), by projected over-relaxation in two colours.

    ``rise_mm`` is h, above 0. ``inflow`` is q/e in every cell; ``foot`` and ``head`` are the potentials held along the
    bottom and top edge for every column, NaN where the edge is shut. ``gravity`` is α [1/mm], 0 or more.
    """
    rows, columns = inflow.shape
    up, down = 1 + gravity * grid.step_mm / 2, 1 - gravity * grid.step_mm / 2
    # a held edge lies half a step beyond its row: 2·held − φ stands there; at a shut edge φ itself does
    own = np.full(inflow.shape, 4.0)
    own[:, 0] -= 1
    own[:, -1] -= 1
    own[0] += np.where(np.isnan(foot), -down, down)
    own[-1] += np.where(np.isnan(head), -up, up)
    given = -2 * (grid.step_mm / rise_mm) ** 2 * (1 - inflow)
    given[0] += 2 * down * np.nan_to_num(foot)
    given[-1] += 2 * up * np.nan_to_num(head)
    odd = np.add.outer(np.arange(rows), np.arange(columns)) % 2 == 1
    phi = np.zeros((rows + 2, columns + 2))
    inside = phi[1:-1, 1:-1]
    for _ in range(sweeps):
        before = inside.copy()
        for colour in (odd, ~odd):
            around = phi[1:-1, :-2] + phi[1:-1, 2:] + up * phi[2:, 1:-1] + down * phi[:-2, 1:-1]
            new = np.clip(inside + RELAXATION * ((around + given) / own - inside), 0.0, 1.0)
            np.copyto(inside, new, where=colour)
        if np.abs(inside - before).max() < TOLERANCE:
            break
    return inside.copy()


def wetness(phi: Field, exponent: float) -> Field:
    """Share of saturation, 0 to 1, of a flux potential: ln(1 + (e^β − 1)·φ)/β, β above 0."""
    return np.asarray(np.log1p(np.expm1(exponent) * phi) / exponent)


def potential_of(wet: float, exponent: float) -> float:
    """The flux potential of a share of saturation, 0 to 1; the inverse of `wetness`."""
    return float(np.expm1(exponent * wet) / np.expm1(exponent))
