"""The shape that readings make on a wall, by comparing what simple shapes would have given, scatter included.

Every column of readings is weighed against each simple profile (falling from the base, rising to the top, a bump, a
strip, nothing), over grids of position and amplitude. A shape of the wall is a profile that holds over a run of
neighbouring columns, with nothing raised outside the run; what the shape is called follows from the profile and from
how long and how tall the run is. Rivals to all shapes are *mixed* (two profiles, one above the other or side by side)
and *shapeless* (each reading on its own), so that several sources at once name none. The degree of fit is the share of
belief (Bayes, equal starting weights but where stated) that falls to a shape.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine.measures.arrays import distinct
from engine.measures.likelihood import DENSITY, OFFSET_WEIGHTS, Likelihood, Wall, profiles_of
from engine.measures.logs import log, log_mean, log_sum, mixed
from engine.measures.meanings import ANSWERS, EVEN, MIXED, NONE, PATCH, SHAPELESS, SHAPES, UNCLEAR, called, runs_of
from engine.measures.mixtures import MIXED_KINDS, above_each_other, scattered, side_by_side
from engine.measures.templates import BUMP, LONG, PLATEAU, RAISED_BUMP, STRIP, Array, Family, families

LEVELS = 0.4 * 1.2 ** np.arange(20)
"""Excess of an even wall [multiples of raised], 0.4 to 13."""
LEAST, MOST = 1.2, 0.85
"""Excess from which an even wall is clearly raised, and up to which it clearly is not [multiples of raised]."""
CLOSENESS = {BUMP: 0.9, RAISED_BUMP: 0.9, STRIP: 1.0, LONG: 1.0}
"""How closely columns that are only loosely alike stand at one position: crests closely, fronts (0.6) less so."""
READINESS = {PLATEAU: 0.1, STRIP: 0.5, MIXED: 0.15}
"""How readily a profile, or a mixture, is met before anything is read, against the others (1)."""


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
    heights = [len(distinct(wall.y_mm[wall.column == j])) for j in distinct(wall.column)]
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
        self.wall = wall
        self.likelihood = Likelihood(wall, parameters)
        self.runs = runs_of(wall)
        ends = float(wall.y_mm.min()), float(wall.y_mm.max())
        dry = self.likelihood.below(np.zeros((1, len(wall.y_mm))))[:, 0]
        self.dry = dry, dry[:, :, -1:] / dry
        self.nothing = log(dry[:, :, -1])
        self.even = log(self.likelihood.whole(LEVELS[:, None] * np.ones((1, len(wall.y_mm)))))
        self.below: dict[str, Array] = {}
        self.above: dict[str, Array] = {}
        self.patches = np.full(len(OFFSET_WEIGHTS), -np.inf)
        self.hypotheses: list[tuple[Family, Array, NDArray[np.int64]]] = []
        for family in families(tuple(wall.y_mm.tolist()), *ends):
            if family.visible.any():
                if family.kind in MIXED_KINDS:
                    by_profile, self.below[family.kind], self.above[family.kind] = self.likelihood.family(family)
                else:
                    by_profile = self.likelihood.whole_family(family)
                name = called(family, self.runs, wall, ends, parameters)
                self.hypotheses.append((family, self._over_runs(family, log(by_profile)), name))

    def weights(self) -> dict[str, float]:
        """Share of belief of every shape, and of *mixed*, *shapeless* and *unclear*."""
        found: dict[str, list[Array]] = {name: [] for name in ANSWERS}
        offsets = np.log(OFFSET_WEIGHTS)
        found[NONE if self.wall.referenced else UNCLEAR].append(self.nothing.sum(axis=1) + offsets)
        for _, total, names in self.hypotheses:
            for index in distinct(names.ravel()):
                found[ANSWERS[index]].append(total[:, names == index].ravel())
        even = _neighbouring(self.even, 1.0).sum(axis=2) + offsets[:, None] - np.log(len(LEVELS))
        for name, parts in self._evenly(even).items():
            found[name].append(parts)
        whole = {kind: below[:, :, -1] for kind, below in self.below.items()}
        two = above_each_other(self.dry, self.below, self.above), side_by_side(self.dry[0][:, :, -1], whole)
        found[MIXED].append(log_mean(np.stack(two), 0) + offsets + np.log(READINESS[MIXED]))
        if BUMP in whole and self.runs.columns > 1:
            self.patches = scattered(self.dry[0][:, :, -1], self.below[BUMP], self.above[BUMP]) + offsets
            found[PATCH].append(self.patches)
        found[SHAPELESS].append(self._shapeless())
        logs = {name: float(log_sum(np.concatenate(parts), 0)) for name, parts in found.items() if any(map(len, parts))}
        greatest = max(logs.values())
        odds = {name: float(np.exp(logs.get(name, -np.inf) - greatest)) for name in ANSWERS}
        return {name: value / sum(odds.values()) for name, value in odds.items()}

    def _evenly(self, even: Array) -> dict[str, Array]:
        """What an even level means: clearly raised, clearly not, or between; without a reference it means nothing."""
        level = LEVELS[None, :] + self.likelihood.offsets[:, None]
        raised = (level >= LEAST) & self.wall.referenced & (self.runs.columns > 1)
        normal = (level <= MOST) & self.wall.referenced
        return {EVEN: even[raised], NONE: even[normal], UNCLEAR: even[~raised & ~normal]}

    def _over_runs(self, family: Family, by_profile: Array) -> Array:
        """Log evidence [offset, position, run] of a family over each run of columns, nothing outside it.

        The columns of a run are either quite alike (one profile, each its own amplitude) or only loosely so.
        """
        where = np.nonzero(family.visible)[0]
        positions = distinct(where)
        member = (where[None, :] == positions[:, None]).astype(np.float64)
        share = member / member.sum(axis=1, keepdims=True)
        alike = mixed(member / len(where), self._run_sums(by_profile))
        columns = _neighbouring(mixed(share, by_profile), CLOSENESS.get(family.kind, 0.6))
        loosely = self._run_sums(columns) - np.log(len(positions))
        total = np.full((len(OFFSET_WEIGHTS), len(family.position_mm), len(self.runs.first)), -np.inf)
        total[:, positions] = np.logaddexp(alike, loosely)
        prior = READINESS.get(family.kind, 1.0) / (2 * len(self.runs.first))
        return np.asarray(total + np.log(prior) + np.log(OFFSET_WEIGHTS)[:, None, None])

    def _run_sums(self, evidence: Array) -> Array:
        """Sums [offset, profile, run] of log evidence [offset, profile, column] in each run, nothing raised outside."""
        over = evidence - self.nothing[:, None, :]
        sums = np.concatenate([np.zeros_like(over[:, :, :1]), np.cumsum(over, axis=2)], axis=2)
        inside = sums[:, :, self.runs.last + 1] - sums[:, :, self.runs.first]
        return np.asarray(inside + self.nothing.sum(axis=1)[:, None, None])

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
        """The profiles [profile, reading] that the best form of a shape allows, its offset, and its columns."""
        columns = np.arange(self.runs.columns)
        level = np.ones((1, len(self.wall.excess)))
        if shape in (NONE, EVEN):
            levels = LEVELS if shape == EVEN else np.r_[0.0, LEVELS[LEVELS <= MOST]]
            evidence = self.even if shape == EVEN else self.nothing[:, None]
            return levels[:, None] * level, int(evidence.sum(axis=2).max(axis=1).argmax()), columns >= 0
        answer = ANSWERS.index(shape)
        ranked = [(np.where(names == answer, total, -np.inf), family) for family, total, names in self.hypotheses]
        total, family = max(ranked, key=lambda pair: float(pair[0].max(initial=-np.inf)))
        offset, position, run = (int(i) for i in np.unravel_index(total.argmax(), total.shape))
        if shape == PATCH:
            closed_in = [profiles_of(each)[0] for each, _, _ in self.hypotheses if each.kind in (BUMP, STRIP)]
            return np.concatenate([0 * level, *closed_in]), offset, columns >= 0
        profiles, where = profiles_of(family)
        apart = 1 if family.kind in (BUMP, RAISED_BUMP) else 0
        inside = (columns >= self.runs.first[run]) & (columns <= self.runs.last[run])
        return profiles[np.abs(where - position) <= apart], offset, inside


def _neighbouring(evidence: Array, closeness: float) -> Array:
    """Mix each position's log evidence [offset, position, column] with its neighbours', and a little with all."""
    positions = evidence.shape[1]
    if positions == 1:
        return evidence
    index = np.arange(positions)
    near = np.exp(-0.5 * ((index[:, None] - index[None, :]) / 0.6) ** 2)
    mix = closeness * near / near.sum(axis=1, keepdims=True) + (1 - closeness) / positions
    return mixed(mix, evidence)
