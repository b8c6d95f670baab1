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
from engine.measures.templates import Array, Family

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
    """Densities of a wall's readings about profiles, gathered by column and by band of height."""

    def __init__(self, wall: Wall, parameters: Mapping[str, float]) -> None:
        self.wall = wall
        pressing = np.square(wall.share)
        self._square = (pressing + parameters["wall-scatter"] ** 2).astype(SINGLE)
        self._linear = (2 * pressing * wall.level).astype(SINGLE)
        self._constant = (pressing * np.square(wall.level) + parameters["wall-scatter-dry"] ** 2).astype(SINGLE)
        self._excess = wall.excess.astype(SINGLE)
        normal = wall.excess[wall.excess < NORMAL]
        background = float(medians(normal)) if len(normal) else FURTHEST_OFFSET
        self.offsets = OFFSETS + np.clip(background, -FURTHEST_OFFSET, FURTHEST_OFFSET)
        self.columns = int(wall.column[-1]) + 1
        heights = distinct(wall.y_mm)
        self.bands = int(min(6, len(heights)))
        cuts = heights[np.linspace(0, len(heights), self.bands + 1).astype(int)[1:-1]]
        cell = wall.column * self.bands + np.searchsorted(cuts, wall.y_mm, side="right")
        self._starts = np.flatnonzero(np.r_[True, np.diff(cell) > 0])
        self._cells = cell[self._starts]
        self._columns = np.flatnonzero(np.r_[True, np.diff(wall.column) > 0])

    def variance(self, mean: Singles) -> Singles:
        """Square of the spread of readings about ``mean`` [multiples of raised].

        The presses scatter by a share of the whole reading, the wall by a share of its excess and a little when dry.
        """
        raised = np.maximum(mean, SINGLE(0))
        variance = self._square * raised
        variance += self._linear
        variance *= raised
        variance += self._constant
        return variance

    def below(self, profiles: Array) -> Array:
        """Products [offset, profile, column, band] of the densities up to and with each band of height.

        ``profiles[profile, reading]`` are predicted excesses. The last band holds the whole column.
        """
        cells = np.ones((len(self.offsets), len(profiles), self.columns * self.bands))
        cells[:, :, self._cells] = np.multiply.reduceat(self._densities(profiles), self._starts, axis=2, dtype=float)
        shape = (len(self.offsets), len(profiles), self.columns, self.bands)
        return np.asarray(np.cumprod(cells.reshape(shape), axis=3))

    def whole(self, profiles: Array) -> Array:
        """Products [offset, profile, column] of the densities over whole columns."""
        return np.asarray(np.multiply.reduceat(self._densities(profiles), self._columns, axis=2, dtype=float))

    def _densities(self, profiles: Array) -> Singles:
        """Density [offset, profile, reading] of every reading about what a profile predicts, ``FLOOR`` at least.

        In single precision, which is far finer than any meter; their products are taken in double.
        """
        mean = profiles.astype(SINGLE)[None] + self.offsets.astype(SINGLE)[:, None, None]
        variance = self.variance(mean)
        apart = np.subtract(self._excess, mean, out=mean)
        apart *= apart
        apart /= SINGLE(3)
        apart += variance
        apart *= apart
        density = np.sqrt(variance)
        density *= variance
        density /= apart
        density *= SINGLE(DENSITY)
        return np.maximum(density, SINGLE(FLOOR), out=density)

    def family(self, family: Family) -> tuple[Array, Array, Array]:
        """Mean densities of a family over amplitudes.

        For each visible profile whole columns [offset, profile, column]; over all profiles the parts up to each band
        and the parts above it [offset, column, band].
        """
        below = self.below(profiles_of(family)[0])
        whole = below[:, :, :, -1]
        above = whole[..., None] / below
        return self._by_profile(whole), np.asarray(below.mean(axis=1)), np.asarray(above.mean(axis=1))

    def whole_family(self, family: Family) -> Array:
        """Mean densities [offset, profile, column] of a family over amplitudes, for whole columns only."""
        return self._by_profile(self.whole(profiles_of(family)[0]))

    def _by_profile(self, whole: Array) -> Array:
        return np.asarray(whole.reshape(len(self.offsets), -1, len(AMPLITUDES), self.columns).mean(axis=2))

    def residuals(self, profiles: Array, offset: int, inside: NDArray[np.bool_]) -> Array:
        """Departures of the readings [standard deviations] from the profile that suits each column best.

        Columns that are not ``inside`` are compared with nothing raised; ``offset`` indexes the offsets.
        """
        best = self.whole(profiles)[offset].argmax(axis=0)
        predicted = profiles[best[self.wall.column], np.arange(len(self.wall.excess))]
        mean = (np.where(inside[self.wall.column], predicted, 0.0) + self.offsets[offset]).astype(SINGLE)
        return np.asarray((self._excess - mean) / np.sqrt(self.variance(mean)), dtype=float)


def profiles_of(family: Family) -> tuple[Array, NDArray[np.int64]]:
    """Predicted excesses [profile, reading] of a family at every amplitude, and the position of each profile."""
    profiles = family.values[family.visible][:, None, :] * AMPLITUDES[None, :, None]
    return profiles.reshape(-1, family.values.shape[2]), np.repeat(np.nonzero(family.visible)[0], len(AMPLITUDES))
