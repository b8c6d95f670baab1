"""The shape that readings make on a wall, by comparing what simple shapes would have given, scatter included.

Every column of readings is weighed against each simple profile (falling from the base, rising to the top, a bump,
a long strip, nothing), over grids of position and amplitude. A shape of the wall is a profile that holds over a run
of neighbouring columns, with nothing raised outside the run; what the shape is called follows from the profile and
from how long and how tall the run is. Rivals to all shapes are *mixed* (two profiles, one above the other or side by
side) and *shapeless* (each reading on its own), so that several sources at once name none. The degree of fit is the
share of belief (Bayes, equal starting weights) that falls to a shape.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from engine.measures.columns import shares
from engine.measures.likelihood import DENSITY, OFFSET_WEIGHTS, Likelihood, Wall, profiles_of
from engine.measures.templates import BUMP, FALL, LONG, PLATEAU, RAISED_BUMP, RISE, Array, Family, families

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
LEVELS = 0.7 * 1.2 ** np.arange(18)
"""Excess of an evenly raised wall [multiples of raised], 0.7 to 15."""
LEAST = 1.2
"""Excess from which an evenly raised wall is clearly raised [multiples of raised]."""
TOGETHER = {FALL: 0.6, RISE: 0.6, PLATEAU: 0.6, BUMP: 0.9, RAISED_BUMP: 0.9, LONG: 1.0}
"""How closely the columns of a run stand at one position: crests closely, fronts loosely."""
READINESS = {PLATEAU: 0.1, MIXED: 0.15}
"""How readily a profile, or a mixture, is met before anything is read, against the others (1)."""
ABOVE_EACH_OTHER = tuple((low, high) for low in (FALL, BUMP) for high in (BUMP, RISE, LONG) if low != high)
MIXTURES = ((0.25, 0.25, 0.25, 0.25), (0.1, 0.7, 0.1, 0.1), (0.1, 0.1, 0.7, 0.1), (0.1, 0.1, 0.1, 0.7))
"""How columns may be shared out between nothing, one profile, another, and both."""
SIDE_BY_SIDE = tuple(pair for pair in combinations((FALL, RISE, BUMP, LONG), 2))
TINY = 1e-290
"""Floor of densities before their logarithm, above the smallest number."""


@dataclass(frozen=True, slots=True)
class ShapeVerdict:
    """The shape (None: abstained), its degree of fit 0..1, the weights of all answers, and why none was named.

    ``misfit`` is how far out the second furthest reading lies about the shape, as a multiple of how far out chance puts
    the furthest. ``why`` is empty, ``too-few-heights``, ``no-shape-stands-out`` or ``no-shape-fits``.
    """

    shape: str | None
    fit: float
    weights: tuple[tuple[str, float], ...]
    misfit: float
    why: str


def shape_of(wall: Wall, parameters: Mapping[str, float]) -> ShapeVerdict:
    """The shape of one mode's readings on a surface.

    Abstains where no column has ``profile-least-heights`` heights, where no shape has a belief of ``shape-margin``,
    or where two readings lie further from it than ``shape-misfit`` allows.
    """
    heights = [len(np.unique(wall.y_mm[wall.column == j])) for j in np.unique(wall.column)]
    if max(heights, default=0) < parameters["profile-least-heights"]:
        return ShapeVerdict(None, 0.0, (), 0.0, "too-few-heights")
    comparison = _Comparison(wall, parameters)
    weights = comparison.weights()
    shape, fit = max(((name, weights[name]) for name in SHAPES), key=lambda pair: pair[1])
    misfit = comparison.misfit(shape)
    listed = tuple((name, weights[name]) for name in ANSWERS)
    if fit < parameters["shape-margin"]:
        return ShapeVerdict(None, fit, listed, misfit, "no-shape-stands-out")
    if misfit > parameters["shape-misfit"]:
        return ShapeVerdict(None, fit, listed, misfit, "no-shape-fits")
    return ShapeVerdict(shape, fit, listed, misfit, "")


class _Comparison:
    """What runs of columns make of the evidence for each profile."""

    def __init__(self, wall: Wall, parameters: Mapping[str, float]) -> None:
        self.wall, self.parameters = wall, parameters
        self.likelihood = Likelihood(wall, parameters)
        self.columns = self.likelihood.columns
        self.lowest, self.highest = float(wall.y_mm.min()), float(wall.y_mm.max())
        self.families = tuple(f for f in families(wall.y_mm, self.lowest, self.highest) if f.visible.any())
        dry = self.likelihood.below(np.zeros((1, len(wall.y_mm))))[:, 0]  # [offset, column, band]
        self.dry_below, self.dry_above = dry, dry[:, :, -1:] / dry
        self.nothing = _log(dry[:, :, -1])
        parts = {family.kind: self.likelihood.family(family) for family in self.families}
        self.whole = {kind: _log(part[0]) for kind, part in parts.items()}
        self.below = {kind: part[1] for kind, part in parts.items()}
        self.above = {kind: part[2] for kind, part in parts.items()}
        even = self.likelihood.below(LEVELS[:, None] * np.ones((1, len(wall.y_mm))))
        self.even = _log(even[:, :, :, -1])
        positions = [float(np.median(wall.x_mm[wall.column == j])) for j in range(self.columns)]
        edges = np.array(shares(positions, 0.0, wall.width_mm))
        runs = [(i, j) for i in range(self.columns) for j in range(i, self.columns)]
        self.first, self.last = np.array(runs).T
        self.length = edges[self.last, 1] - edges[self.first, 0]
        self.breadth = self._breadth(edges[:, 1] - edges[:, 0])
        self._hypotheses: list[tuple[Family, Array, NDArray[np.int64]]] = []

    def weights(self) -> dict[str, float]:
        """Share of belief of every shape, and of *mixed*, *shapeless* and *unclear*."""
        found: dict[str, list[Array]] = {name: [] for name in ANSWERS}
        offsets = np.log(OFFSET_WEIGHTS)
        found[NONE if self.wall.referenced else UNCLEAR].append(self.nothing.sum(axis=1) + offsets)
        for _, total, called in self.hypotheses():
            for index in np.unique(called):
                found[ANSWERS[index]].append(total[:, called == index].ravel())
        even = _neighbouring(self.even, 0.9).sum(axis=2) + offsets[:, None] - np.log(len(LEVELS))
        clear = (LEVELS >= LEAST) & (self.columns > 1) & self.wall.referenced
        found[EVEN].append(even[:, clear].ravel())
        found[UNCLEAR].append(even[:, ~clear].ravel())
        mixed = np.stack([self._above_each_other(), self._side_by_side()])
        found[MIXED].append(_log_mean(mixed, 0) + offsets + np.log(READINESS[MIXED]))
        found[SHAPELESS].append(self._shapeless())
        logs = {
            name: float(_log_sum(np.concatenate(parts), 0)) for name, parts in found.items() if any(map(len, parts))
        }
        greatest = max(logs.values())
        odds = {name: float(np.exp(logs.get(name, -np.inf) - greatest)) for name in ANSWERS}
        whole = sum(odds.values())
        return {name: value / whole for name, value in odds.items()}

    def hypotheses(self) -> list[tuple[Family, Array, NDArray[np.int64]]]:
        """Each family with its log evidence [offset, position, run] and what that means [position, run]."""
        if not self._hypotheses:
            offsets = np.log(OFFSET_WEIGHTS)[:, None, None]
            self._hypotheses = [(f, self._runs(f) + offsets, self._called(f)) for f in self.families]
        return self._hypotheses

    def _breadth(self, share: Array) -> Array:
        """Breadth of each run as if it were all as raised as its most raised column [mm]."""
        raised = np.maximum(self.wall.excess, 0.0)
        mean = np.array([raised[self.wall.column == j].mean() for j in range(self.columns)])
        sums = np.concatenate([[0.0], np.cumsum(mean * share)])
        greatest = np.array([mean[i : j + 1].max() for i, j in zip(self.first, self.last, strict=True)])
        return np.asarray((sums[self.last + 1] - sums[self.first]) / np.maximum(greatest, 1e-9))

    def _runs(self, family: Family) -> Array:
        """Log evidence [offset, position, run] of a profile over each run of columns, nothing outside it."""
        evidence = _neighbouring(self.whole[family.kind], TOGETHER[family.kind]) - self.nothing[:, None, :]
        sums = np.concatenate([np.zeros_like(evidence[:, :, :1]), np.cumsum(evidence, axis=2)], axis=2)
        inside = sums[:, :, self.last + 1] - sums[:, :, self.first]
        total = inside + self.nothing.sum(axis=1)[:, None, None]
        seen = int(family.visible.any(axis=1).sum())
        return np.asarray(total - np.log(len(self.first) * seen) + np.log(READINESS.get(family.kind, 1.0)))

    def _above_each_other(self) -> Array:
        """Log evidence [offset] of two profiles, one below and one above a height that holds for the wall."""
        totals = []
        bands = self.likelihood.bands
        for low, high in self._shown(ABOVE_EACH_OTHER):
            none = self.dry_below * self.dry_above
            only_low, only_high = self.below[low] * self.dry_above, self.dry_below * self.above[high]
            both = self.below[low] * self.above[high]
            totals.append(_with_both(none, only_low, only_high, both)[:, : bands - 1])
        return _log_mean(np.concatenate(totals, axis=1), 1)

    def _shown(self, pairs: tuple[tuple[str, str], ...]) -> list[tuple[str, str]]:
        return [pair for pair in pairs if pair[0] in self.whole and pair[1] in self.whole]

    def _side_by_side(self) -> Array:
        """Log evidence [offset] of two profiles in different columns."""
        none = np.exp(self.nothing)[:, :, None]
        totals = []
        for one, other in self._shown(SIDE_BY_SIDE):
            first, second = self.below[one][:, :, -1:], self.below[other][:, :, -1:]
            totals.append(_with_both(none, first, second, np.zeros_like(none)))
        return _log_mean(np.concatenate(totals, axis=1), 1)

    def _shapeless(self) -> Array:
        """Log evidence of each reading on its own, spread widely about slightly raised."""
        spread = 4.0
        z = (self.wall.excess - 1.5) / spread
        return np.array([np.log(DENSITY / spread / np.square(1 + z * z / 3)).sum()])

    def _called(self, family: Family) -> NDArray[np.int64]:
        """What a profile at each position over each run of columns means on a wall: [position, run] of ANSWERS."""
        p = self.parameters
        number = {name: index for index, name in enumerate(ANSWERS)}
        size, position = family.size_mm[:, None], family.position_mm[:, None]
        length, breadth = self.length[None, :], self.breadth[None, :]
        everywhere = ((self.first == 0) & (self.last == self.columns - 1))[None, :]
        several = (self.last > self.first)[None, :]
        narrow = ~everywhere & (~several | (breadth <= p["streak-greatest-width"])) & (self.columns > 2)
        shape = np.zeros(np.broadcast_shapes(size.shape, length.shape), dtype=np.int64)
        on_base = self.lowest <= p["wall-base-height"]
        if family.kind == PLATEAU:
            return shape + number[UNCLEAR]
        if family.kind == LONG:
            return np.where(narrow, number[STREAK], shape + number[UNCLEAR])
        if family.kind in (FALL, RISE):
            at_head = self.highest >= self.wall.height_mm - p["wall-head-distance"]
            settled = (BASE if on_base else UNCLEAR) if family.kind == FALL else (TOP if at_head else UNCLEAR)
            slender = narrow * size / np.maximum(breadth, 1.0)
            shape += number[settled]
            shape = np.where(slender > 0.6 * p["streak-least-slenderness"], number[UNCLEAR], shape)
            return np.where(slender >= p["streak-least-slenderness"], number[STREAK], shape)
        in_band = (position >= p["crest-least-height"]) & (position <= p["crest-greatest-height"])
        crest = several & in_band & (everywhere | (length > 3 * size)) & (length >= p["crest-least-length"]) & on_base
        patch = ~everywhere & (breadth <= 2.5 * size) & (family.kind == BUMP)
        return np.where(crest, number[CREST], np.where(patch, number[PATCH], shape + number[UNCLEAR]))

    def misfit(self, shape: str) -> float:
        """How far out the second furthest reading lies about the best profiles of a shape, against chance.

        The furthest of n normal values lies about the square root of 2·log n standard deviations out.
        """
        inside = np.ones(self.columns, dtype=bool)
        if shape in (NONE, EVEN):
            profiles = (LEVELS if shape == EVEN else np.zeros(1))[:, None] * np.ones((1, len(self.wall.excess)))
            evidence = self.even.sum(axis=2).max(axis=1) if shape == EVEN else self.nothing.sum(axis=1)
            offset = int(evidence.argmax())
        else:
            answer = ANSWERS.index(shape)
            ranked = [(np.where(called == answer, total, -np.inf), f) for f, total, called in self.hypotheses()]
            total, family = max(ranked, key=lambda pair: float(pair[0].max(initial=-np.inf)))
            offset, position, run = (int(i) for i in np.unravel_index(total.argmax(), total.shape))
            inside = (np.arange(self.columns) >= self.first[run]) & (np.arange(self.columns) <= self.last[run])
            profiles, where = profiles_of(family)
            apart = 1 if family.kind in (BUMP, RAISED_BUMP) else 0
            profiles = profiles[np.abs(where - position) <= apart]
        furthest = np.sort(np.abs(self.likelihood.residuals(profiles, offset, inside)))
        return float(furthest[-2] / np.sqrt(2 * np.log(len(furthest))))


def _with_both(none: Array, one: Array, other: Array, both: Array) -> Array:
    """Log evidence [offset, split] that columns show one profile, another, both or none, and each shows somewhere.

    Arguments are densities [offset, column, split]; of all ways to share the profiles among the columns, those in
    which one of them shows nowhere are taken out.
    """
    found = []
    for w in MIXTURES:
        every = _log(w[0] * none + w[1] * one + w[2] * other + w[3] * both).sum(axis=1)
        without_one = _log(w[0] * none + w[2] * other).sum(axis=1)
        without_other = _log(w[0] * none + w[1] * one).sum(axis=1)
        neither = _log(w[0] * none).sum(axis=1)
        share = 1 - np.exp(without_one - every) - np.exp(without_other - every) + np.exp(neither - every)
        found.append(every + np.log(np.maximum(share, 1e-12)))
    return _log_mean(np.stack(found), 0)


def _neighbouring(evidence: Array, closeness: float) -> Array:
    """Mix each position's log evidence [offset, position, column] with its neighbours', and a little with all."""
    positions = evidence.shape[1]
    if positions == 1:
        return evidence
    index = np.arange(positions)
    near = np.exp(-0.5 * ((index[:, None] - index[None, :]) / 0.6) ** 2)
    mix = closeness * near / near.sum(axis=1, keepdims=True) + (1 - closeness) / positions
    greatest = evidence.max(axis=1, keepdims=True)
    return np.asarray(_log(np.einsum("pq,oqc->opc", mix, np.exp(evidence - greatest))) + greatest)


def _log(values: Array) -> Array:
    return np.asarray(np.log(np.maximum(values, TINY)))


def _log_sum(values: Array, axis: int) -> Array:
    greatest = values.max(axis=axis, keepdims=True)
    return np.asarray(np.squeeze(_log(np.exp(values - greatest).sum(axis=axis, keepdims=True)) + greatest, axis=axis))


def _log_mean(values: Array, axis: int) -> Array:
    return np.asarray(_log_sum(values, axis) - np.log(values.shape[axis]))
