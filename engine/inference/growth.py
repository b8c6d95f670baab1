"""How far the sets of causes must grow before what is left out no longer matters.

Sets are weighed by size, smallest first. Growth stops at size k < n when

1. the sets of size k hold less than ``NEGLIGIBLE`` of the mass so far, and
2. an upper bound on the mass of *all* larger sets is below ``NEGLIGIBLE`` as well, and
3. no summit seen from the set of all causes stands beyond size k with a hundredth of that or more around it.

The first alone is not safe: evidence that only many causes together explain lets the layers' mass fall
before it rises. The second rests on this. Give every set S larger than k − 1 a *steward*, its weightiest subset of
size k − 1 (ties: the first in order). If T is the steward of S and c one of the causes that S has more, then
T is also the steward of T ∪ {c}, because the subsets of that are subsets of S. Where a cause's gain
w(T ∪ {c}) / w(T) never grows as T grows (the log-weight is submodular: so it is with present findings of a noisy-OR,
whose causes explain each other away, and with absent ones), w(S) is at most w(T) times the product of those gains.
Summed over the j ≥ 2 causes that S may have more than T, with g(T) the sum of the gains to the size-k sets of
which T is steward,

    mass beyond size k  ≤  Σ_T w(T) · (e^g(T) − 1 − g(T)),

for which the layers k − 1 and k suffice. Masks, suppression, unsure reports and echoes may break submodularity
(a maker together with what hides its sign explains more than both alone). So the gains are taken
``SAFETY`` times as large beyond the first, and where the layer just weighed held more than the bound before it had
allowed, the new bound is raised in the same proportion. What several masks do together can still hide behind a
valley of unlikely sets; then larger sets have a summit of their own, and the third condition looks for it from the
far side, by the steepest steps from the set of all causes. Where all three hold, the error that full enumeration
finds is far below the estimate (the tests draw hard networks for it); only the second, and only under
submodularity, is a proof. Growth that would pass an eighth of all sets weighs all.

Beyond ``FIRST_SIZE`` most sets of a size are not worth weighing. Submodularity bounds each of them by sets already
weighed: for two causes a and b beyond a set T,

    w(T ∪ {a, b})  ≤  w(T ∪ {a}) · w(T ∪ {b}) / w(T).

Sets whose bound, ``SAFETY`` times as large, is below a share ``NEGLECTED`` of the mass are left out; the bounds stand
for their weights from then on, and count among the stated error, raised in the proportion in which sets that were
weighed outweighed their bounds. Where that is too much, or a far summit shows that the weights are not such, every set
of each size is weighed. Where growth ends in weighing all sets, the lightest are forgotten again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import comb

import numpy as np

from engine.inference.landscape import Landscape, Summit
from engine.inference.noisy import SMALLEST
from engine.inference.sets import Block, Floats, all_sets, heaviest, sets_of_size, sets_up_to, subsets

NEGLIGIBLE = 1e-4
"""Share of the mass below which the last layer, and all that lies beyond it, may be left out."""
FAR_SUMMIT = 1e-6
"""Share of the mass that may stand around a summit among larger sets."""
SAFETY = 3.0
"""By how much later gains are taken larger than the first ones, for want of submodularity."""
NEGLECTED = 1e-11
"""Share of the mass so far below which the bound on a set's weight lets it be left out."""
FORGOTTEN = 1e-7
"""Mass of the lightest sets that are forgotten where all were weighed; reasons need the rest."""
FIRST_SIZE = 3
"""Sets of up to this size are always weighed."""
FEW = 12
"""With no more causes than this all sets are weighed at once."""


@dataclass(frozen=True, eq=False)
class Weighed:
    """The weighed sets: blocks and their normalised weights, and what growth has to say for itself.

    ``size`` of the largest sets, ``last_layer_mass`` their share, ``estimated_error`` the larger of that share
    and the bound on what larger sets and those left out hold, by which a marginal may be off; 0 when all sets are kept.
    ``log_evidence`` is the natural logarithm of the summed weights.
    """

    parts: tuple[tuple[Block, Floats], ...]
    size: int
    last_layer_mass: float
    estimated_error: float
    log_evidence: float


def grow(
    causes: int, log_weights: Callable[[Block], Floats], landscape: Callable[[], Landscape], *, exact: bool = False
) -> Weighed:
    """Weigh sets over so many causes until the rest is negligible; ``exact`` weighs them all.

    ``landscape`` gives the weights of ``log_weights`` for any few sets; it is made when growth is about to stop.
    """
    if exact or causes <= FEW:
        return _all(causes, log_weights)
    return _by_size(causes, log_weights, landscape, NEGLECTED)


def _by_size(
    causes: int, log_weights: Callable[[Block], Floats], landscape: Callable[[], Landscape], neglected: float
) -> Weighed:
    """Sets by size, without those whose bound is below a share ``neglected`` of the mass."""
    blocks = [sets_up_to(causes, FIRST_SIZE)]
    log = log_weights(blocks[0])
    top = float(log.max())
    weights = [np.exp(log - top)]
    start = len(log) - comb(causes, FIRST_SIZE)
    before, last = weights[0][start - comb(causes, FIRST_SIZE - 1) : start], weights[0][start:]
    mass, total, size, allowed = float(weights[0].sum()), len(log), FIRST_SIZE, np.inf
    left, excess = 0.0, 1.0
    summit: Summit | None = None
    while True:
        held, rest = float(last.sum()), np.inf
        if not neglected or held < NEGLIGIBLE * mass:
            rest = left * excess + _beyond(before, last, causes, size) * max(1.0, held / allowed)
        if left * excess >= NEGLIGIBLE * mass:
            return _by_size(causes, log_weights, landscape, 0.0)
        if max(held, rest) < NEGLIGIBLE * mass:
            log_mass = top + float(np.log(mass))
            summit = summit or landscape().summit_from_all()
            if summit.size <= size or summit.log_mass < log_mass + np.log(FAR_SUMMIT):
                parts = tuple((block, weight / mass) for block, weight in zip(blocks, weights, strict=True))
                return Weighed(parts, size, held / mass, max(held, rest) / mass, log_mass)
            if neglected:
                return _by_size(causes, log_weights, landscape, 0.0)
        size += 1
        if size > causes or total > (1 << causes) // 8:
            return _all_but_the_lightest(causes, log_weights)
        bounds = _bounds(before, last, causes, size) if neglected else np.full(comb(causes, size), np.inf)
        worth = bounds >= neglected * mass
        total += int(worth.sum())
        blocks.append(Block(causes, sets_of_size(causes, size)[worth], complete=False))
        log = log_weights(blocks[-1])
        fall = float(np.exp(min(top - float(log.max(initial=-np.inf)), 0.0)))
        if fall < 1:
            weights = [weight * fall for weight in weights]
            top = float(log.max())
        weights.append(np.exp(log - top))
        before, last, allowed = last * fall, bounds * fall, max(rest * fall, SMALLEST)
        left = left * fall + float(last[~worth].sum())
        if neglected:
            least = np.maximum(last[worth], neglected * mass * fall)
            excess = max(excess, float((weights[-1] / least).max(initial=0.0)))
        last[worth] = weights[-1]
        mass = mass * fall + float(weights[-1].sum())


def _all(causes: int, log_weights: Callable[[Block], Floats]) -> Weighed:
    block = all_sets(causes)
    weights = log_weights(block)
    top = float(weights.max())
    weights -= top
    np.exp(weights, out=weights)
    mass = float(weights.sum())
    weights /= mass
    return Weighed(((block, weights),), causes, float(weights[-1]), 0.0, top + float(np.log(mass)))


def _all_but_the_lightest(causes: int, log_weights: Callable[[Block], Floats]) -> Weighed:
    """All sets weighed, and those forgotten that hold next to nothing together: they are most of many sets."""
    every = _all(causes, log_weights)
    ((_, weights),) = every.parts
    block, shares = heaviest(every.parts, FORGOTTEN)
    left = max(1 - float(weights[block.patterns].sum()), 0.0)
    return Weighed(((block, shares),), causes, every.last_layer_mass, left, every.log_evidence)


def _bounds(before: Floats, layer: Floats, causes: int, size: int) -> Floats:
    """Bounds on the weights of the sets of ``size`` from those of the sets one and two smaller."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        high, low = (
            layer.take(subsets(causes, size, one))
            * layer.take(subsets(causes, size, other))
            / before.take(subsets(causes, size - 1, both).take(subsets(causes, size, one)))
            for one, other, both in ((0, 1, 0), (size - 1, size - 2, size - 2))
        )
        return np.asarray(SAFETY * np.nan_to_num(np.fmin(high, low), nan=np.inf))


def _beyond(before: Floats, layer: Floats, causes: int, size: int) -> float:
    """Bound on the mass of sets larger than ``size`` from the weights of the sets one smaller and of that size."""
    stewards = subsets(causes, size, 0)
    heaviest = before.take(stewards)
    for lacking in range(1, size):
        others = subsets(causes, size, lacking)
        weights = before.take(others)
        stewards = np.where(weights > heaviest, others, stewards)
        heaviest = np.maximum(heaviest, weights)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        gains = SAFETY * np.bincount(stewards, layer, minlength=len(before)) / before
        bound = before * (np.expm1(gains) - gains) / SAFETY
        return float(np.where(gains > 0, np.nan_to_num(bound, nan=np.inf), 0.0).sum())
