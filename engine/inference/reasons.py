"""The weight of evidence of each observed finding for each cause: belief with it against belief without it.

I. J. Good, *Probability and the Weighing of Evidence*, 1950; from memory. Without the finding the later members
of its echo group move up; the sets are those already weighed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from engine.inference.sets import Block, Floats

if TYPE_CHECKING:
    from engine.inference.belief import Reading
    from engine.inference.posterior import Posterior

LEAST_SHARE = 1e-15
"""Floor under a probability and its complement: no reason is stronger than 150 dB."""
CELLS_AT_ONCE = 1 << 21
"""How many numbers one step works on at most."""


def reasons(posterior: Posterior) -> dict[str, dict[str, float]]:
    """Decibans {finding: {cause: …}} for every observed finding and every cause that is not excluded."""
    network = posterior.network
    changes = [_changes(posterior, place) for place in range(len(posterior.readings))]
    without = np.zeros((len(changes), 1 + len(posterior.linked)))
    for block, weights in posterior.parts:
        step = max(CELLS_AT_ONCE // len(weights), 1)
        for low in range(0, len(changes), step):
            rows = np.stack([_log_change(posterior, change, block) for change in changes[low : low + step]])
            np.exp(rows, out=rows)
            rows *= weights
            without[low : low + step, 0] += rows.sum(axis=1)
            without[low : low + step, 1:] += block.marginals(rows)
    shift = _log_odds(posterior.linked_marginals) - _log_odds(without[:, 1:] / without[:, :1])
    found = {}
    for observation, row in zip(posterior.observations, shift.tolist(), strict=True):
        weight = dict(zip(posterior.linked, row, strict=True)) | dict.fromkeys(posterior.idle, 0.0)
        found[observation.finding] = {network.causes[cause]: weight[cause] for cause in sorted(weight)}
    return found


def _changes(posterior: Posterior, place: int) -> list[tuple[float, Reading]]:
    """The readings that come and go, with their signs, when one observation is left out."""
    before, finding = posterior.readings[place], posterior.observations[place].finding
    group = posterior.network.groups.get(finding)
    if group is None:
        return [(-1.0, before)]
    kept = posterior.observations[:place] + posterior.observations[place + 1 :]
    after = posterior.readings[:place] + posterior.readings[place + 1 :]
    moved = set(posterior.network.readings([o for o in kept if o.finding in group.members])) - set(after)
    fallen = {reading.finding for reading in moved}
    gone = [before, *(reading for reading in after if reading.finding in fallen)]
    return [(-1.0, reading) for reading in gone] + [(1.0, reading) for reading in sorted(moved)]


def _log_change(posterior: Posterior, changes: list[tuple[float, Reading]], block: Block) -> Floats:
    rows = [sign * posterior.network.row(r, posterior.linked, posterior.prior, block) for sign, r in changes]
    return np.asarray(sum(rows[1:], start=rows[0]))


def _log_odds(shares: Floats) -> Floats:
    bounded = np.clip(shares, LEAST_SHARE, 1 - LEAST_SHARE)
    return 10 * (np.log10(bounded) - np.log10(1 - bounded))
