"""Whether the evidence is such as its own explanation would give: a check on what the network does not know.

Sets of causes are drawn from the belief after the observations, and from each set reports of the observed
findings, with the same echo exponents, masks and sureness. The surprise is the share of draws in which the
drawn reports are at most as probable under their set as the observed ones. Drawing from the belief and not from
the priors keeps a rare cause, plainly shown, from looking improbable merely because it is rare.
(Posterior predictive check with a realised discrepancy: A. Gelman, X.-L. Meng and H. Stern, "Posterior predictive
assessment of model fitness via realized discrepancies", Statistica Sinica 6, 1996; from memory.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from engine.inference.sets import Block

if TYPE_CHECKING:
    from engine.inference.posterior import Posterior

TIE = 1e-9
"""Difference of log-likelihood within which two count as equally probable."""


def surprise(posterior: Posterior, draws: int, seed: int) -> float:
    """Share of the draws that are at most as probable as what was observed; 1 when nothing bears on causes."""
    if not posterior.linked or draws < 1:
        return 1.0
    random = np.random.default_rng(seed)
    block, weights = posterior.sets_for_questions
    drawn = random.choice(len(weights), draws, p=weights / weights.sum())
    chosen, which = np.unique(drawn, return_inverse=True)
    collection = Block(block.causes, block.patterns[chosen], complete=False)
    network = posterior.network
    columns = collection.columns(network.strides_of(posterior.readings, posterior.linked))
    chances = random.random((len(posterior.readings), draws))
    own, observed, places = np.zeros(draws), np.zeros(draws), np.arange(draws)
    for reading, row, chance in zip(posterior.readings, columns, chances, strict=True):
        table = network.table(reading.finding, reading.ratio, reading.mask, reading.exponent)
        ends, logs = table.ends.take(row, axis=1).take(which, axis=1), table.logs.take(row, axis=1).take(which, axis=1)
        states = np.minimum((chance * ends[-1] >= ends).sum(axis=0), len(ends) - 1)
        own += logs[states, places]
        observed += logs[reading.state]
    return float(np.mean(own <= observed + TIE))
