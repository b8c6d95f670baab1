"""The shape that readings make on a wall, by comparing what simple shapes would have given, scatter included.

Every column of readings is weighed against each simple profile (falling from the base, rising to the top, a bump, a
strip, nothing), over grids of position and amplitude. A shape of the wall is a profile that holds over a run of
neighbouring columns, with nothing raised outside the run; what the shape is called follows from the profile and from
how long and how tall the run is. Rivals to all shapes are *mixed* (two profiles, one above the other or side by side)
and *shapeless* (each reading on its own), so that several sources at once name none. The degree of fit is the share of
belief (Bayes, equal starting weights but where stated) that falls to a shape.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine.measures.likelihood import DENSITY, OFFSET_WEIGHTS, Likelihood, Wall, amplified, over_amplitudes
from engine.measures.logs import log, log_mean, mixed
from engine.measures.meanings import (
    ANSWERS,
    EVEN,
    MIXED,
    NONE,
    NUMBER,
    PATCH,
    SHAPELESS,
    SHAPES,
    UNCLEAR,
    called,
    runs_of,
)
from engine.measures.mixtures import MIXED_KINDS, above_each_other, scattered, side_by_side
from engine.measures.templates import BUMP, LONG, RAISED_BUMP, STRIP, Array, neighbouring, templates

LEVELS = 0.4 * 1.2 ** np.arange(20)
"""Excess of an even wall [multiples of raised], 0.4 to 13."""
LEAST, MOST = 1.2, 0.85
"""Excess from which an even wall is clearly raised, and up to which it clearly is not [multiples of raised]."""
MIXED_READINESS = 0.15
"""How readily a mixture is met before anything is read, against a single profile (1)."""
EVEN_MIX = neighbouring(len(LEVELS), 1.0)
"""How columns of an even wall share a level."""


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
    heights = Counter(column for column, _ in set(zip(wall.column.tolist(), wall.y_mm.tolist(), strict=True)))
    if max(heights.values(), default=0) < parameters["profile-least-heights"]:
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
        self.wall = wall
        self.likelihood = Likelihood(wall, parameters)
        self.runs = runs_of(wall)
        heights = self.likelihood.heights
        self.templates = templates(tuple(heights.tolist()))
        self.levels = np.tile(LEVELS, (len(heights), 1))
        parted = self.templates.of[LONG].stop
        rest = amplified(self.templates.profiles[:, parted:])
        whole = self.likelihood.whole(np.concatenate([self.levels, rest], axis=1))
        below = self.likelihood.below(
            np.concatenate([np.zeros((len(heights), 1)), amplified(self.templates.profiles[:, :parted])], axis=1)
        )
        above = over_amplitudes((below[:, -1:] / below)[..., 1:])
        dry, below = below[..., 0], over_amplitudes(below[..., 1:])
        self.dry = _by_offset(dry), _by_offset(dry[:, -1:] / dry)
        kinds = {kind: of for kind, of in self.templates.of.items() if kind in MIXED_KINDS and of.stop > of.start}
        self.below = {kind: _by_offset(below[..., of].mean(axis=-1)) for kind, of in kinds.items()}
        self.above = {kind: _by_offset(above[..., of].mean(axis=-1)) for kind, of in kinds.items()}
        self.nothing = log(dry[:, -1])
        self.even = log(whole[..., : len(LEVELS)])
        by_profile = np.concatenate([below[:, -1], over_amplitudes(whole[..., len(LEVELS) :])], axis=-1)
        self.total = self._over_runs(log(by_profile))
        self.names = called(self.templates, self.runs, wall, (heights[0], heights[-1]), parameters)

    def weights(self) -> dict[str, float]:
        """Share of belief of every shape, and of *mixed*, *shapeless* and *unclear*."""
        offsets = np.log(OFFSET_WEIGHTS)
        even = mixed(EVEN_MIX, self.even).sum(axis=0) + offsets[:, None] - np.log(len(LEVELS))
        whole = {kind: below[:, :, -1] for kind, below in self.below.items()}
        two = above_each_other(self.dry, self.below, self.above), side_by_side(self.dry[0][:, :, -1], whole)
        found = [
            (NONE if self.wall.referenced else UNCLEAR, self.nothing.sum(axis=0) + offsets),
            *self._evenly(even),
            (MIXED, log_mean(np.stack(two), 0) + offsets + np.log(MIXED_READINESS)),
            (SHAPELESS, self._shapeless()),
        ]
        if BUMP in whole and self.runs.columns > 1:
            patches = scattered(self.dry[0][:, :, -1], self.below[BUMP], self.above[BUMP])
            found.append((PATCH, patches + offsets))
        greatest = max(float(logs.max(initial=-np.inf)) for logs in (self.total, *(logs for _, logs in found)))
        over_offsets = np.exp(self.total - greatest).sum(axis=0)
        odds = np.bincount(self.names.ravel(), over_offsets.ravel(), len(ANSWERS))
        for name, logs in found:
            odds[NUMBER[name]] += np.exp(logs - greatest).sum()
        return dict(zip(ANSWERS, (odds / odds.sum()).tolist(), strict=True))

    def _evenly(self, even: Array) -> list[tuple[str, Array]]:
        """What an even level means: clearly raised, clearly not, or between; without a reference it means nothing."""
        level = LEVELS[None, :] + self.likelihood.offsets[:, None]
        raised = (level >= LEAST) & self.wall.referenced & (self.runs.columns > 1)
        normal = (level <= MOST) & self.wall.referenced
        return [(EVEN, even[raised]), (NONE, even[normal]), (UNCLEAR, even[~raised & ~normal])]

    def _over_runs(self, by_profile: Array) -> Array:
        """Log evidence [offset, position, run] over each run of columns from that [column, offset, profile] of columns.

        Nothing is raised outside the run. Its columns are either quite alike (one profile, each its own amplitude) or
        only loosely so.
        """
        alike = mixed(self.templates.alike, self._run_sums(by_profile))
        loosely = self._run_sums(mixed(self.templates.loosely, by_profile)) - self.templates.log_positions
        total = np.logaddexp(alike, loosely) + np.log(self.templates.readiness / len(self.runs.first))
        return np.asarray((total + np.log(OFFSET_WEIGHTS)[:, None]).transpose(1, 2, 0))

    def _run_sums(self, evidence: Array) -> Array:
        """Sums [run, offset, profile] of log evidence [column, offset, profile] in each run, nothing raised outside."""
        over = evidence - self.nothing[:, :, None]
        sums = np.concatenate([np.zeros_like(over[:1]), np.cumsum(over, axis=0)])
        inside = sums[self.runs.last + 1] - sums[self.runs.first]
        return np.asarray(inside + self.nothing.sum(axis=0)[:, None])

    def _shapeless(self) -> Array:
        """Log evidence of each reading on its own, spread widely about slightly raised."""
        spread = 4.0
        z = (self.wall.excess - 1.5) / spread
        return np.array([np.log(DENSITY / spread / np.square(1 + z * z / 3)).sum()])

    def misfit(self, shape: str) -> float:
        """How far out the second furthest reading lies about the best profiles of a shape, against chance.

        The furthest of n normal values lies about the square root of 2·log n standard deviations out.
        """
        profiles, offset, inside = self._best(shape)
        furthest = np.sort(np.abs(self.likelihood.residuals(profiles, offset, inside)))
        return float(furthest[-2] / np.sqrt(2 * np.log(len(furthest))))

    def _best(self, shape: str) -> tuple[Array, int, NDArray[np.bool_]]:
        """The profiles [height, profile] that the best form of a shape allows, its offset, and its columns."""
        columns = np.arange(self.runs.columns)
        nothing = 0 * self.levels[:, :1]
        if shape == EVEN:
            return self.levels, int(self.even.sum(axis=0).max(axis=1).argmax()), columns >= 0
        if shape == NONE:
            normal = np.concatenate([nothing, self.levels[:, LEVELS <= MOST]], axis=1)
            return normal, int(self.nothing.sum(axis=0).argmax()), columns >= 0
        total = np.where(self.names == NUMBER[shape], self.total, -np.inf)
        offset, position, run = (int(i) for i in np.unravel_index(total.argmax(), total.shape))
        profiles, of, row = self.templates.profiles, self.templates.of, self.templates.row
        if shape == PATCH:
            closed_in = amplified(np.concatenate([profiles[:, of[BUMP]], profiles[:, of[STRIP]]], axis=1))
            return np.concatenate([nothing, closed_in], axis=1), offset, columns >= 0
        inside = (columns >= self.runs.first[run]) & (columns <= self.runs.last[run])
        kind = next(kind for kind, at in self.templates.at.items() if position < at.stop)
        apart = 1 if kind in (BUMP, RAISED_BUMP) else 0
        return amplified(profiles[:, of[kind]][:, np.abs(row[of[kind]] - position) <= apart]), offset, inside


def _by_offset(densities: Array) -> Array:
    """Densities [column, band, offset] as [offset, column, band]."""
    return densities.transpose(2, 0, 1)
