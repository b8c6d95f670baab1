"""The weight of evidence of each observed finding for each cause: belief with it against belief without it.

I. J. Good, *Probability and the Weighing of Evidence*, 1950; from memory. Without the finding the later members
of its echo group move up; the sets are those already weighed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from engine.inference.echoes import exponent
from engine.inference.sets import Block, Floats

if TYPE_CHECKING:
    from engine.inference.belief import Reading
    from engine.inference.posterior import Posterior

LEAST_SHARE = 1e-15
"""Floor under a probability and its complement: no reason is stronger than 150 dB."""
CELLS_AT_ONCE = 1 << 20
"""How many numbers one step works on at most."""


def reasons(posterior: Posterior) -> dict[str, dict[str, float]]:
    """Decibans {finding: {cause: …}} for every observed finding and every cause that is not excluded."""
    block, weights = posterior.sets_for_reasons
    observed = len(posterior.readings)
    without = np.empty((observed, 1 + len(posterior.linked)))
    step = max(CELLS_AT_ONCE // len(weights), 1)
    for low in range(0, observed, step):
        places = range(low, min(low + step, observed))
        reweighed = _changes(posterior, places, block) * weights
        without[low : low + step, 0] = reweighed.sum(axis=1)
        without[low : low + step, 1:] = block.marginals(reweighed)
    shift = _log_odds(block.marginals(weights)) - _log_odds(without[:, 1:] / without[:, :1])
    found = {}
    for observation, row in zip(posterior.observations, shift.tolist(), strict=True):
        by_cause = dict(zip(posterior.linked, row, strict=True)) | dict.fromkeys(posterior.idle, 0.0)
        found[observation.finding] = {posterior.network.causes[cause]: by_cause[cause] for cause in sorted(by_cause)}
    return found


def _changes(posterior: Posterior, places: Sequence[int], block: Block) -> Floats:
    """By what the likelihood of every set is multiplied when each observation is left out, (places, sets)."""
    exchanged = [_exchanged(posterior, place) for place in places]
    readings = list(dict.fromkeys(reading for pair in exchanged for side in pair for reading in side))
    rows = posterior.network.likelihoods(readings, posterior.linked, block)
    likelihood = dict(zip(readings, rows, strict=True))
    changes = np.empty((len(places), len(block.patterns)))
    for change, (gone, come) in zip(changes, exchanged, strict=True):
        np.divide(1.0, likelihood[gone[0]], out=change)
        for reading in gone[1:]:
            change /= likelihood[reading]
        for reading in come:
            change *= likelihood[reading]
    return changes


def _exchanged(posterior: Posterior, place: int) -> tuple[list[Reading], list[Reading]]:
    """The readings that go when one observation is left out, itself first, and those that take their places."""
    own, finding = posterior.readings[place], posterior.observations[place].finding
    group = posterior.network.groups.get(finding)
    if group is None:
        return [own], []
    observed = {o.finding: r for o, r in zip(posterior.observations, posterior.readings, strict=True)}
    members = [member for member in group.members if member in observed]
    rank = members.index(finding)
    later = [observed[member] for member in members[rank + 1 :]]
    moved = [r._replace(exponent=exponent(rank + i, group.correlation)) for i, r in enumerate(later, start=1)]
    changed = [(old, new) for old, new in zip(later, moved, strict=True) if old != new]
    return [own, *(old for old, _ in changed)], [new for _, new in changed]


def _log_odds(shares: Floats) -> Floats:
    bounded = np.clip(shares, LEAST_SHARE, 1 - LEAST_SHARE)
    return np.asarray(10 * (np.log10(bounded) - np.log10(1 - bounded)))
