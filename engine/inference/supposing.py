"""What further evidence would do to a belief, over the weightiest sets of causes that it holds now.

Asking what each of many answers would lead to needs many weighings. Here the sets are fixed once, and each
supposition only changes the weights of those sets: by the priors that it moves and the reports that it adds or
alters. The figures agree with a full weighing to about the mass that is left aside.

What learning which supposition is true would tell is the mutual information of sets and supposition: the entropy of
the mixture of the beliefs less the mean of their entropies (the divergence of J. Lin, "Divergence measures based on
the Shannon entropy", 1991; from memory). It is never negative, and equals the expected drop in entropy where the
mixture is the present belief.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from engine.inference.noisy import Floats, entropy
from engine.inference.sets import Block, heaviest, look_ups

if TYPE_CHECKING:
    from engine.inference.belief import Observation, Reading
    from engine.inference.posterior import Posterior

LEFT_ASIDE = 1e-3
"""Mass of the least probable sets that suppositions leave aside, at each of the steps in which sets are gathered."""


class Suppositions:
    """A belief made ready for suppositions; never changed."""

    def __init__(self, posterior: Posterior) -> None:
        self.posterior, self.network = posterior, posterior.network
        block, weights = heaviest(posterior.parts, LEFT_ASIDE)
        over = posterior.linked
        for cause in posterior.idle:
            prior = posterior.prior[cause]
            patterns = np.concatenate([block.patterns, block.patterns | (1 << len(over))])
            over = (*over, cause)
            both = np.concatenate([weights * (1 - prior), weights * prior])
            block, weights = heaviest([(Block(len(over), patterns, complete=False), both)], LEFT_ASIDE)
        self.over, self.block, self.weights = over, block, weights
        self._readings = {reading.finding: reading for reading in posterior.readings}
        with np.errstate(divide="ignore"):
            self._log_weights = np.log(weights)

    def weigh(self, priors: Mapping[str, float], observations: Iterable[Observation]) -> Floats:
        """Probability of each of the sets under other priors and observations; these are all there are, not additions.

        A cause that is excluded in the present belief stays so.
        """
        log = self._log_weights.copy()
        prior = np.array([priors[self.network.causes[cause]] for cause in self.over])
        before = self.posterior.prior[list(self.over)]
        if (prior != before).any():
            with np.errstate(divide="ignore"):
                shift = np.log(prior) - np.log1p(-prior) - np.log(before) + np.log1p(-before)
            log += self.block.sums(look_ups(shift))
        now = {reading.finding: reading for reading in self.network.readings(tuple(observations))}
        for finding in now.keys() | self._readings.keys():
            old, new = self._readings.get(finding), now.get(finding)
            if old != new:
                log += self._row(new) - self._row(old)
        weights = np.exp(log - log.max())
        return np.asarray(weights / weights.sum())

    def _row(self, reading: Reading | None) -> Floats | float:
        """Log-likelihood of a reading under every set; 0 where there is none."""
        if reading is None:
            return 0.0
        return self.network.logs(reading).take(self.network.columns(reading.finding, self.over, self.block))

    def marginals(self, weights: Floats) -> dict[str, float]:
        """Probability of each cause under some weights of the sets; 0 for an excluded one."""
        found = np.zeros(len(self.network.causes))
        found[list(self.over)] = np.clip(self.block.marginals(weights), 0.0, 1.0)
        return dict(zip(self.network.causes, found.tolist(), strict=True))

    def shared_information(self, beliefs: Sequence[Floats], chances: Sequence[float]) -> float:
        """What learning which of the suppositions is true would tell of the sets [bits, ≥ 0]; chances sum to 1."""
        stacked = np.stack(beliefs, axis=1)
        shares = np.asarray(chances)
        return max(float(entropy(stacked @ shares) - entropy(stacked) @ shares), 0.0)

    def predictions(
        self, findings: Iterable[str], masks: Mapping[str, float] | None = None
    ) -> dict[str, tuple[dict[str, float], float]]:
        """Of each unobserved finding the probability of its states, and what observing it would tell [bits, ≥ 0]."""
        found = {}
        for finding in findings:
            table = self.posterior.unobserved_table(finding, masks=masks)
            place = self.network.place(finding)
            columns = self.network.columns(place, self.over, self.block)
            shares = np.bincount(columns, self.weights, minlength=table.probabilities.shape[1])
            states = table.probabilities @ shares
            bits = max(float(entropy(states) - table.entropies @ shares), 0.0)
            named = dict(zip(self.network.models[place].states, (states / states.sum()).tolist(), strict=True))
            found[finding] = (named, bits)
        return found
