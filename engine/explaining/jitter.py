"""Belief re-weighed under other strengths, backgrounds, base rates and leanings, many times at once.

The sets of causes that hold nearly all of the belief are fixed; every judged number is moved on the log-odds scale
[dB], the likelihood of every set is reckoned anew, and the sets are normalised among themselves. Masks, echo
correlations and the ratios of unsure reports stay as they are. Moving the log-odds of judged probabilities by normal
noise follows M. Pradhan and others, "The sensitivity of belief networks to imprecise probabilities", 1996 (from
memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from engine.inference.belief import Observation
from engine.inference.noisy import FindingModel, reports, temper
from engine.opinion.reasoner import Belief, Reasoner
from engine.rulebook.compiling import finding_model

Floats = NDArray[np.float64]
LEAST = 1e-12
"""Floor under a probability before its logarithm is taken."""
CELLS_AT_ONCE = 1 << 18
"""How many numbers one step works on: about what a processor's cache holds."""
NATURAL = math.log(10) / 10
"""Natural logarithm of the ratio that one deciban stands for."""


@dataclass(frozen=True, slots=True)
class Assumption:
    """One judged number: ``kind`` base-rate, leaning, background or strength; ``record`` the record that states it.

    ``cause`` is the cause that it concerns (empty for a background), ``spread`` its standard deviation [dB].
    """

    kind: str
    record: str
    cause: str
    spread: float


@dataclass(frozen=True, eq=False)
class Reweighed:
    """Marginals (draws, linked causes) and the most probable set of each draw as zeros and ones (draws, causes)."""

    marginals: Floats
    best: Floats


class Jitter:
    """The judged numbers behind one belief, ready to be moved; ``held`` is the mass of the sets that are re-weighed.

    ``causes`` are the linked ones, in the network's order: the others are moved by no finding.
    """

    def __init__(self, reasoner: Reasoner, belief: Belief, mass: float) -> None:
        posterior, network, book = belief.posterior, reasoner.network, reasoner.rulebook
        self._belief, self._network, self._book = belief, network, book
        self.causes = tuple(network.causes[place] for place in posterior.linked)
        patterns = np.concatenate([block.patterns for block, _ in posterior.parts])
        weights = np.concatenate([block_weights for _, block_weights in posterior.parts])
        order = np.argsort(-weights, kind="stable")
        count = int(np.searchsorted(np.cumsum(weights[order]), mass)) + 1
        self._patterns = patterns[order[:count]]
        self.held = float(min(weights[order[:count]].sum(), 1.0))
        self.sets = len(self._patterns)
        self._members = ((self._patterns[:, None] >> np.arange(len(self.causes))) & 1).astype(float)
        self._models = {
            seen.finding: finding_model(book, book.findings[seen.finding]) for seen in posterior.observations
        }
        self.assumptions = self._assume()
        self._place = {(a.kind, a.record, a.cause): i for i, a in enumerate(self.assumptions)}

    def _assume(self) -> tuple[Assumption, ...]:
        number = self._book.parameter
        found = [Assumption("base-rate", cause, cause, number("base-rate-spread-decibans")) for cause in self.causes]
        found += [
            Assumption("leaning", share.rule, share.cause, number("leaning-spread-decibans"))
            for share in self._belief.leanings
            if share.cause in self.causes
        ]
        for finding, model in self._models.items():
            makers = self._makers(model)
            if not makers:
                continue
            found.append(Assumption("background", finding, "", number("background-spread-decibans")))
            found += [Assumption("strength", finding, cause, number("strength-spread-decibans")) for cause in makers]
        return tuple(dict.fromkeys(found))

    def _makers(self, model: FindingModel) -> tuple[str, ...]:
        """The linked causes with which the finding's frequency is stated."""
        named = {cause for _, makes in model.cumulative for cause in makes}
        return tuple(cause for cause in self.causes if cause in named)

    def reweigh(self, deviates: Floats) -> Reweighed:
        """The belief under each row of deviates [dB], shape (draws, assumptions); zeros give the belief as it is."""
        step = max(CELLS_AT_ONCE // self.sets, 1)
        parts = [self._reweigh(deviates[low : low + step]) for low in range(0, len(deviates), step)]
        return Reweighed(np.concatenate([p.marginals for p in parts]), np.concatenate([p.best for p in parts]))

    def _reweigh(self, deviates: Floats) -> Reweighed:
        logs = self._prior_log_odds(deviates) @ self._members.T
        for observation, reading in zip(
            self._belief.posterior.observations, self._belief.posterior.readings, strict=True
        ):
            model = self._models[observation.finding]
            causes = tuple(c for c in self.causes if c in model.cause_masks or c in self._makers(model))
            if causes:
                places = np.array([self.causes.index(cause) for cause in causes])
                own = self._patterns & sum(1 << int(place) for place in places)
                distinct, inverse = np.unique(own, return_inverse=True)
                columns = ((distinct[:, None] >> places) & 1).astype(float)
                table = self._table(model, observation, causes, columns, deviates)
                table = reports(temper(table, reading.exponent), reading.ratio)
                logs += np.log(np.maximum(table[reading.state], LEAST)).take(inverse, axis=1)
        logs -= logs.max(axis=1, keepdims=True)
        weights = np.exp(logs)
        weights /= weights.sum(axis=1, keepdims=True)
        return Reweighed(weights @ self._members, self._members[weights.argmax(axis=1)])

    def _moved(self, deviates: Floats, kind: str, record: str, cause: str = "") -> Floats:
        return np.asarray(deviates[:, self._place[kind, record, cause]])

    def _prior_log_odds(self, deviates: Floats) -> Floats:
        """Natural log-odds of the linked causes before the findings, (draws, causes)."""
        cap, soft = self._book.parameter("leaning-cap-decibans"), self._book.parameter("exclusion-decibans")
        columns = []
        for cause in self.causes:
            lean = np.zeros(len(deviates))
            for share in self._belief.leanings:
                if share.cause == cause:
                    lean = lean + share.decibans + self._moved(deviates, "leaning", share.rule, cause)
            against = any(exclusion.cause == cause for exclusion in self._belief.exclusions)
            rate = self._belief.base_rates[cause]
            base = 10 * math.log10(rate / (1 - rate)) + self._moved(deviates, "base-rate", cause, cause)
            columns.append(base + np.clip(lean, -cap, cap) - (soft if against else 0.0))
        return np.array(columns, dtype=float).reshape(len(self.causes), len(deviates)).T * NATURAL

    def _table(
        self,
        model: FindingModel,
        observation: Observation,
        causes: Sequence[str],
        columns: Floats,
        deviates: Floats,
    ) -> Floats:
        """P(state | causes) as `engine.inference.noisy` states it, shape (states, draws, columns)."""
        reached = []
        for background, makes in model.cumulative:
            base = _shifted(background, self._moved(deviates, "background", model.id)) if makes else None
            base = np.full(len(deviates), background) if base is None else base
            named = [place for place, cause in enumerate(causes) if cause in makes]
            alone = np.stack(
                [_shifted(makes[causes[n]], self._moved(deviates, "strength", model.id, causes[n])) for n in named]
                or [np.zeros(len(deviates))]
            )
            strength = np.where(alone > base, (alone - base) / (1 - base), 0.0)
            suppression = np.where(alone > base, 0.0, 1 - alone / base)
            chosen = columns[:, named].T if named else np.zeros((1, len(columns)))
            unmade, unsuppressed = np.log1p(-strength).T @ chosen, np.log1p(-suppression.clip(max=1 - LEAST)).T @ chosen
            reached.append(1 - (1 - base[:, None] * np.exp(unsuppressed)) * np.exp(unmade))
        masks = np.array([math.log1p(-model.cause_masks.get(cause, 0.0)) for cause in causes])
        left = np.exp(columns @ masks) * (1 - observation.mask)
        for grade in range(1, len(reached)):
            reached[grade] = np.minimum(reached[grade], reached[grade - 1] * (1 - 1e-9))
        bounds = [np.ones_like(reached[0]), *(grade * left for grade in reached), np.zeros_like(reached[0])]
        states = np.stack([low - high for low, high in pairwise(bounds)])
        return np.asarray(np.maximum(states, LEAST))


def _shifted(probability: float, decibans: Floats) -> Floats:
    """A probability with its log-odds moved."""
    return np.asarray(1 / (1 + (1 - probability) / probability * np.exp(-NATURAL * decibans)))
