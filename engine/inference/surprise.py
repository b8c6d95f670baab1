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

from engine.inference.sets import Block, starts_of

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
    strides = posterior.network.strides_of(posterior.readings, posterior.linked)
    chances = random.random((len(posterior.readings), draws))
    tables = posterior.network.tables(posterior.readings)
    own, observed = np.zeros(draws), np.zeros(draws)
    for count in sorted({len(table.probabilities) for table in tables}):
        rows = [row for row, table in enumerate(tables) if len(table.probabilities) == count]
        starts = starts_of(tables[row].probabilities.shape[1] for row in rows)
        places = collection.columns(strides[rows], starts).take(which, axis=1)
        ends = np.concatenate([tables[row].ends for row in rows], axis=1).take(places, axis=1)
        states = np.minimum((chances[rows] * ends[-1] >= ends).sum(axis=0), count - 1)
        logs = np.concatenate([tables[row].logs for row in rows], axis=1)
        own += logs[states, places].sum(axis=0)
        seen = [[posterior.readings[row].state] for row in rows]
        observed += logs[seen, places].sum(axis=0)
    return float(np.mean(own <= observed + TIE))
