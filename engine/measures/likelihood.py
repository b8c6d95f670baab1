"""How well profiles would have given the readings of each column, scatter included.

Readings scatter about a profile after Student's t with three degrees of freedom, so that a stray reading costs little.
Its spread comes from the pressing (a share of the reading) and from the wall's own unevenness. Products of these
densities over the readings of a column stay far from underflow for up to forty readings.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine.measures.arrays import distinct, medians
from engine.measures.templates import Array

SINGLE = np.float32
Singles = NDArray[np.float32]
OFFSETS, OFFSET_WEIGHTS = np.array([-0.2, 0.0, 0.2]), np.array([0.25, 0.5, 0.25])
"""How far the wall's background may lie off what its normal readings show [multiples of raised], and how readily."""
FURTHEST_OFFSET, NORMAL = 0.6, 0.9
"""How far a background may stand off the dry reference, and up to where readings count towards it."""
AMPLITUDES = 1.2 * 1.42 ** np.arange(8)
"""Greatest excess of a profile [multiples of raised], 1.2 to 14."""
FLOOR = 1e-7
"""Least density of a reading: no single one counts more against a profile, and no product of forty underflows."""
DENSITY = 0.3675525969478614
"""Density of Student's t with three degrees of freedom at its middle, 2 / (π·√3)."""


@dataclass(frozen=True, slots=True)
class Wall:
    """Readings of one mode on one surface, sorted by column and height; lengths in mm from the floor and the left.

    ``excess`` and ``level`` are in multiples of raised: over the dry reference, and the reference itself. ``share``
    is the standard deviation of the pressing as a share of the reading; ``column`` numbers the columns from the left.
    Without ``referenced`` the excess is over the lowest readings on the same material, which serves for shape only.
    """

    column: NDArray[np.int64]
    x_mm: Array
    y_mm: Array
    excess: Array
    level: Array
    share: Array
    width_mm: float
    height_mm: float
    referenced: bool


class Likelihood:
    """Densities of a wall's readings about profiles, gathered by column and by band of height.

    What a profile predicts and how it scatters is reckoned once for the readings that have height, level and share of
    pressing in common, which are most.
    """

    def __init__(self, wall: Wall, parameters: Mapping[str, float]) -> None:
        self.wall = wall
        alike: dict[tuple[float, float, float], int] = {}
        each = zip(wall.y_mm.tolist(), wall.level.tolist(), wall.share.tolist(), strict=True)
        self._alike = np.array([alike.setdefault(key, len(alike)) for key in each])
        y_mm, level, share = np.array(list(alike)).T
        self.heights = distinct(y_mm)
        self._height = np.searchsorted(self.heights, y_mm)
        pressing = np.square(share)
        self._square = (pressing + parameters["wall-scatter"] ** 2).astype(SINGLE)
        self._linear = (2 * pressing * level).astype(SINGLE)
        self._constant = (pressing * np.square(level) + parameters["wall-scatter-dry"] ** 2).astype(SINGLE)
        self._excess = wall.excess.astype(SINGLE)
        normal = wall.excess[wall.excess < NORMAL]
        background = float(medians(normal)) if len(normal) else FURTHEST_OFFSET
        self.offsets = OFFSETS + min(max(background, -FURTHEST_OFFSET), FURTHEST_OFFSET)
        self.columns = int(wall.column[-1]) + 1
        self.bands = int(min(6, len(self.heights)))
        cuts = self.heights[np.linspace(0, len(self.heights), self.bands + 1).astype(int)[1:-1]]
        self._band = np.searchsorted(cuts, wall.y_mm, side="right")

    def below(self, profiles: Array) -> Array:
        """Products [column, band, offset, profile] of the densities up to and with each band of height.

        ``profiles[height, profile]`` are predicted excesses. The last band holds the whole column.
        """
        density = self._densities(profiles)
        below = np.ones((self.columns, self.bands, *density.shape[1:]))
        for reading, column, band in zip(density, self.wall.column.tolist(), self._band.tolist(), strict=True):
            below[column, band] *= reading
        for band in range(1, self.bands):
            below[:, band] *= below[:, band - 1]
        return below

    def whole(self, profiles: Array) -> Array:
        """Products [column, offset, profile] of the densities over whole columns."""
        density = self._densities(profiles)
        whole = np.ones((self.columns, *density.shape[1:]))
        for reading, column in zip(density, self.wall.column.tolist(), strict=True):
            whole[column] *= reading
        return whole

    def _densities(self, profiles: Array) -> Singles:
        """Density [reading, offset, profile] of every reading about what a profile predicts, ``FLOOR`` at least.

        Student's t of a departure d with variance v: DENSITY / √v / (1 + d²/3v)² = 9·DENSITY·v^1.5 / (3v + d²)².
        In single precision, which is far finer than any meter; their products are taken in double.
        """
        mean = profiles.astype(SINGLE)[self._height, None] + self.offsets.astype(SINGLE)[:, None]
        variance = self._variance(mean, np.arange(len(mean)))
        peak = SINGLE(9 * DENSITY) * variance * np.sqrt(variance)
        variance *= SINGLE(3)
        density = mean[self._alike]
        density -= self._excess[:, None, None]
        density *= density
        density += variance[self._alike]
        density *= density
        np.divide(peak[self._alike], density, out=density)
        return np.asarray(np.maximum(density, SINGLE(FLOOR), out=density))

    def _variance(self, mean: Singles, alike: NDArray[np.int64]) -> Singles:
        """Square of the spread of readings about ``mean`` [multiples of raised], by the kind of reading along axis 0.

        The presses scatter by a share of the whole reading, the wall by a share of its excess and a little when dry.
        """
        along = (slice(None), *(None,) * (mean.ndim - 1))
        square, linear, constant = (part[alike][along] for part in (self._square, self._linear, self._constant))
        raised = np.maximum(mean, SINGLE(0))
        return np.asarray((square * raised + linear) * raised + constant)

    def residuals(self, profiles: Array, offset: int, inside: NDArray[np.bool_]) -> Array:
        """Departures of the readings [standard deviations] from the profile that suits each column best.

        Columns that are not ``inside`` are compared with nothing raised; ``offset`` indexes the offsets.
        """
        column = self.wall.column
        best = self.whole(profiles)[:, offset].argmax(axis=1)
        predicted = profiles[self._height[self._alike], best[column]]
        mean = (np.where(inside[column], predicted, 0.0) + self.offsets[offset]).astype(SINGLE)
        return np.asarray((self._excess - mean) / np.sqrt(self._variance(mean, self._alike)), dtype=float)


def amplified(profiles: Array) -> Array:
    """Predicted excesses [height, amplitude and profile] of profiles [height, profile], amplitude by amplitude."""
    return np.asarray(AMPLITUDES[:, None] * profiles[:, None, :]).reshape(len(profiles), -1)


def over_amplitudes(densities: Array) -> Array:
    """Mean densities [..., profile] over the amplitudes of `amplified` profiles."""
    return np.asarray(densities.reshape(*densities.shape[:-1], len(AMPLITUDES), -1).mean(axis=-2))
