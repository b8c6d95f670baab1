"""Whether the evidence is such as the model itself would give: a check on what the network does not know.

The model draws causes from their priors and reports of the observed findings from them, with the same echo
exponents, masks and sureness as the observations. The evidence of every draw, and the observed one, is the summed
probability over one and the same collection of sets: those of up to two causes, every set that was drawn, and
the most probable sets after the observations. So both are measured alike, each draw has its own truth
in the collection, and where the collection favours one it favours the observed: it errs towards no alarm.
(Prior predictive check: G. E. P. Box, "Sampling and Bayes' inference in scientific modelling and robustness",
1980; from memory.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from engine.inference.sets import Block, look_ups, sets_up_to

if TYPE_CHECKING:
    from engine.inference.posterior import Posterior

SMALL_SETS = 2
"""Sets of up to this size always belong to the collection."""
BEST_SETS = 16
"""How many of the most probable sets after the observations belong to it."""
TIE = 1e-9
"""Difference of log-evidence within which two count as equally probable."""


def surprise(posterior: Posterior, draws: int, seed: int) -> float:
    """Share of the draws whose evidence is at most as probable as the observed; 1 when nothing bears on causes."""
    count, readings = len(posterior.linked), posterior.readings
    if not count or draws < 1:
        return 1.0
    random = np.random.default_rng(seed)
    prior = posterior.prior[list(posterior.linked)]
    drawn = (random.random((draws, count)) < prior) @ (1 << np.arange(count))
    block, weights = posterior.sets_for_questions
    best = block.patterns[np.argsort(-weights, kind="stable")[:BEST_SETS]]
    patterns = np.unique(np.concatenate([sets_up_to(count, min(SMALL_SETS, count)).patterns, drawn, best]))
    collection = Block(count, patterns, complete=False)
    truth = np.searchsorted(patterns, drawn)

    probabilities, before, states = [], [], []
    for reading in readings:
        kept = posterior.network.kept(reading.finding, posterior.prior)
        table = posterior.network.table(reading.finding, kept, reading.ratio, reading.mask, reading.exponent)
        columns = posterior.network.columns(reading.finding, kept, posterior.linked, collection)
        both = table.sampling.take(columns, axis=1)
        probabilities.append(both[: len(table.probabilities)])
        before.append(both[len(table.probabilities) :].take(truth, axis=1))
        states.append(len(table.probabilities))
    ends = np.cumsum(states)
    reached = random.random((draws, len(readings))).repeat(states, axis=1) >= np.concatenate(before).T
    chosen = np.zeros((draws + 1, ends[-1]))
    chosen[:draws] = reached
    following = reached[:, 1:].copy()
    following[:, ends[:-1] - 1] = False
    chosen[:draws, :-1] -= following
    chosen[draws, ends - states + [reading.state for reading in readings]] = 1.0

    odds = look_ups(np.log(prior) - np.log1p(-prior))
    logs = chosen @ np.log(np.concatenate(probabilities)) + collection.sums(odds)
    top = logs.max(axis=1)
    evidence = top + np.log(np.exp(logs - top[:, None]).sum(axis=1))
    return float(np.mean(evidence[:draws] <= evidence[draws] + TIE))
