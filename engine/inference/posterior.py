"""What is believed after weighing: probabilities of causes and of sets of causes, and the reasons for them."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from engine.inference.echoes import exponent_among
from engine.inference.growth import Weighed
from engine.inference.information import information, information_of
from engine.inference.noisy import SMALLEST, Floats, ReportTable, entropy
from engine.inference.reasons import reasons
from engine.inference.sets import Block, heaviest
from engine.inference.surprise import surprise

if TYPE_CHECKING:
    from engine.inference.belief import Network, Observation, Reading

LEFT_BY_REASONS = 1e-7
"""Mass of the least probable sets that the reasons may leave aside where sets are many."""
LEFT_BY_QUESTIONS = 1e-4
"""Mass of the least probable sets that questions about further findings may leave aside where sets are many."""
FEW_FOR_REASONS, FEW_FOR_QUESTIONS = 1 << 9, 1 << 8
"""Sets that are few enough never to be left aside, by reasons and by questions."""


class Posterior:
    """Belief in the causes of a network after observations; made by `Network.weigh`, never changed.

    ``marginals`` {cause: probability}; ``size`` of the largest sets weighed (over the causes to which some observed
    finding is linked; the others keep their priors exactly); ``last_layer_mass`` the share of the sets of that size;
    ``estimated_error`` bounds the error of every marginal, 0 when all sets were weighed.
    """

    def __init__(
        self,
        network: Network,
        prior: Floats,
        observations: tuple[Observation, ...],
        readings: tuple[Reading, ...],
        linked: tuple[int, ...],
        weighed: Weighed,
        exact: bool,
    ) -> None:
        self.network, self.prior, self.observations, self.readings = network, prior, observations, readings
        self.linked, self.parts, self._exact = linked, weighed.parts, exact
        self.size, self.last_layer_mass = weighed.size, weighed.last_layer_mass
        self.estimated_error, self.log_evidence = weighed.estimated_error, weighed.log_evidence
        self.observed = frozenset(observation.finding for observation in observations)
        self._reckoned: dict[frozenset[int], tuple[float, float]] = {}
        self.idle = tuple(i for i in range(len(prior)) if prior[i] > 0 and i not in set(linked))

    @cached_property
    def linked_marginals(self) -> Floats:
        """Probability of each linked cause."""
        return np.asarray(sum(block.marginals(weights) for block, weights in self.parts))

    @cached_property
    def marginals(self) -> dict[str, float]:
        """Probability of each cause, in the network's order; 0 for an excluded one."""
        found = self.prior.copy()
        found[list(self.linked)] = np.clip(self.linked_marginals, 0.0, 1.0)
        return dict(zip(self.network.causes, found.tolist(), strict=True))

    @cached_property
    def sets_for_reasons(self) -> tuple[Block, Floats]:
        """The heaviest sets, but for the mass ``LEFT_BY_REASONS``."""
        return heaviest(self.parts, LEFT_BY_REASONS, FEW_FOR_REASONS)

    @cached_property
    def sets_for_questions(self) -> tuple[Block, Floats]:
        """The heaviest sets, but for the mass ``LEFT_BY_QUESTIONS``."""
        return heaviest([self.sets_for_reasons], LEFT_BY_QUESTIONS, FEW_FOR_QUESTIONS)

    def column_probabilities(self, finding: str) -> Floats:
        """Probability of every column of a finding's table."""
        place = self.network.place(finding)
        block, weights = self.sets_for_questions
        columns = self.network.models[place].columns
        found = np.bincount(
            self.network.columns(place, self.linked, block), weights, minlength=len(columns.counts)
        ).astype(np.float64, copy=False)
        for cause, stride in columns.strides.items():
            if cause in self.idle:
                moved = found[:-stride] * self.prior[cause]
                found *= 1 - self.prior[cause]
                found[stride:] += moved
        return found

    def sets_with_idle(self, causes: Collection[int]) -> tuple[Block, Floats, tuple[int, ...]]:
        """The heaviest sets over the linked causes and the idle ones among ``causes``; and these causes in order."""
        block, weights = self.sets_for_questions
        over = self.linked
        for cause in self.idle:
            if cause in causes:
                patterns = np.concatenate([block.patterns, block.patterns | (1 << len(over))])
                over = (*over, cause)
                both = np.concatenate([weights * (1 - self.prior[cause]), weights * self.prior[cause]])
                block, weights = heaviest(
                    [(Block(len(over), patterns, complete=False), both)], LEFT_BY_QUESTIONS, FEW_FOR_QUESTIONS
                )
        return block, weights, over

    def any_of(self, causes: Iterable[str]) -> float:
        """Probability that at least one of the causes is at work; 0 for none."""
        return self._any_and_none(causes)[0]

    def _any_and_none(self, causes: Iterable[str]) -> tuple[float, float]:
        places = frozenset(self.network.cause_place(cause) for cause in causes)
        if places not in self._reckoned:
            self._reckoned[places] = self._reckon(places)
        return self._reckoned[places]

    def _reckon(self, places: frozenset[int]) -> tuple[float, float]:
        pattern = sum(1 << i for i, cause in enumerate(self.linked) if cause in places)
        hits = [(block.patterns & pattern) != 0 for block, _ in self.parts]
        some = sum(float(weights[hit].sum()) for (_, weights), hit in zip(self.parts, hits, strict=True))
        none = sum(float(weights[~hit].sum()) for (_, weights), hit in zip(self.parts, hits, strict=True))
        idle = _none([self.prior[cause] for cause in self.idle if cause in places])
        return min(some + none * (1 - idle), 1.0), none * idle

    def evidence_decibans(self, cause: str) -> float:
        """What the findings together say for a cause: posterior less prior log-odds [dB]; 0 for an excluded cause."""
        prior = float(self.prior[self.network.cause_place(cause)])
        if not prior:
            return 0.0
        now = self.marginals[cause]
        return decibans(now, 1 - now) - decibans(prior, 1 - prior)

    def evidence_decibans_any(self, causes: Collection[str]) -> float:
        """What the findings together say for "at least one of these causes" [dB]; 0 when all are excluded.

        Weight of evidence in decibans: I. J. Good, *Probability and the Weighing of Evidence*, 1950; from memory.
        """
        prior_none = _none([self.prior[self.network.cause_place(cause)] for cause in causes])
        if prior_none == 1:
            return 0.0
        return decibans(*self._any_and_none(causes)) - decibans(1 - prior_none, prior_none)

    def sets(self, count: int) -> list[tuple[tuple[str, ...], float]]:
        """The most probable sets of causes with their probabilities, most probable first; the empty set may be one."""
        patterns = np.concatenate([block.patterns for block, _ in self.parts])
        weights = np.concatenate([weights for _, weights in self.parts])
        if 0 < count < len(weights):
            likely = np.nonzero(weights >= np.partition(weights, -count)[-count])[0]
            patterns, weights = patterns[likely], weights[likely]
        best = np.argsort(-weights, kind="stable")[: max(count, 0)]
        found = [
            (tuple(cause for i, cause in enumerate(self.linked) if int(pattern) >> i & 1), float(weight))
            for pattern, weight in zip(patterns[best], weights[best], strict=True)
        ]
        for cause in self.idle:
            odds = float(self.prior[cause])
            found = [(chosen, weight * (1 - odds)) for chosen, weight in found] + [
                (tuple(sorted((*chosen, cause))), weight * odds) for chosen, weight in found
            ]
            found = sorted(found, key=lambda pair: (-pair[1], len(pair[0]), pair[0]))[:count]
        found.sort(key=lambda pair: (-pair[1], len(pair[0]), pair[0]))
        return [(tuple(self.network.causes[cause] for cause in chosen), weight) for chosen, weight in found]

    def entropy(self) -> float:
        """Entropy of the probabilities of all sets of causes [bits]."""
        linked = sum(float(entropy(weights)) for _, weights in self.parts)
        idle = self.prior[list(self.idle)]
        return linked + float(entropy(np.stack([idle, 1 - idle])).sum())

    def without(self, findings: Iterable[str]) -> Posterior:
        """The belief had these findings not been observed, weighed anew; ValueError for one that was not observed."""
        dropped = frozenset(findings)
        for finding in dropped:
            self.observation(finding)
        kept = [observation for observation in self.observations if observation.finding not in dropped]
        priors = dict(zip(self.network.causes, self.prior.tolist(), strict=True))
        return self.network.weigh(priors, kept, exact=self._exact)

    def reasons(self) -> dict[str, dict[str, float]]:
        """Each observed finding's weight of evidence for each cause that is not excluded [dB].

        Posterior log-odds less those without the finding, over the same sets; they do not add up.
        """
        return reasons(self)

    def observation(self, finding: str) -> Observation:
        """How a finding was observed; ValueError when it was not."""
        self.network.place(finding)
        for observation in self.observations:
            if observation.finding == finding:
                return observation
        raise ValueError(f"finding {finding!r} was not observed")

    def probability_under(self, finding: str, causes: Iterable[str]) -> float:
        """Probability of the observed state of a finding, given that exactly these causes are at work.

        Plain: neither echoes nor sureness count, only what circumstances hide.
        """
        model = self.network.models[self.network.place(finding)]
        return float(self._states_under(finding, causes)[model.states.index(self.observation(finding).state)])

    def _states_under(self, finding: str, causes: Iterable[str]) -> Floats:
        place = self.network.place(finding)
        column = self.network.models[place].column({self.network.cause_place(cause) for cause in causes})
        return self.network.table(place, mask=self.observation(finding).mask).probabilities[:, column]

    def chance_of_misfits(self, findings: Iterable[str], causes: Collection[str], below: float, count: int) -> float:
        """Probability that so many or more of some observed findings come out in states less probable than ``below``.

        Given that exactly these causes are at work: the more was looked at, the more must be expected not to fit.
        Plain, as `probability_under`. (The tail of a Poisson binomial distribution, summed finding by finding.)
        """
        fewer = np.zeros(count)
        fewer[:1] = 1.0
        for finding in findings:
            states = self._states_under(finding, causes)
            misfits = float(states[states < below].sum())
            fewer[1:] = fewer[1:] * (1 - misfits) + fewer[:-1] * misfits
            fewer[:1] *= 1 - misfits
        return float(min(max(1 - fewer.sum(), 0.0), 1.0))

    def unobserved_table(
        self, finding: str, also: Collection[str] = (), masks: Mapping[str, float] | None = None
    ) -> ReportTable:
        """The table of an unobserved finding, were it observed (with ``also``), for certain."""
        place = self.network.place(finding)
        if finding in self.observed:
            raise ValueError(f"finding {finding!r} is observed already")
        group = self.network.groups.get(finding)
        seen = self.observed.union(also) if also else self.observed
        share = exponent_among(group, finding, seen) if group else 1.0
        return self.network.table(place, mask=(masks or {}).get(finding, 0.0), exponent=share)

    def predictive(self, finding: str, masks: Mapping[str, float] | None = None) -> dict[str, float]:
        """Probability of each state of an unobserved finding, were it observed for certain.

        Its states count with the exponent that the finding would have in its echo group, so that the belief expected
        after the observation is the present one. ``masks`` {finding: share hidden by circumstances}.
        """
        table = self.unobserved_table(finding, masks=masks)
        found = table.probabilities @ self.column_probabilities(finding)
        states = self.network.models[self.network.place(finding)].states
        return dict(zip(states, (found / found.sum()).tolist(), strict=True))

    def information(
        self, findings: Iterable[str] | None = None, masks: Mapping[str, float] | None = None
    ) -> dict[str, float]:
        """Mutual information between the sets of causes and each unobserved finding [bits, ≥ 0].

        The expected drop in the entropy of the sets, were the finding observed for certain; by default of all
        unobserved findings. Exponents and ``masks`` as in `predictive`.
        """
        asked = [f for f in self.network.findings if f not in self.observed] if findings is None else findings
        return information(self, asked, masks)

    def information_of(self, findings: Sequence[str], masks: Mapping[str, float] | None = None) -> float:
        """Mutual information between the sets of causes and up to four unobserved findings asked together [bits]."""
        return information_of(self, findings, masks)

    def surprise(self, draws: int = 200, seed: int = 0) -> float:
        """Share of the model's own draws of the same findings that are at most as probable as what was observed."""
        return surprise(self, draws, seed)


def decibans(some: float, none: float) -> float:
    """Odds in decibans: ten times the common logarithm."""
    return 10 * (math.log10(max(some, SMALLEST)) - math.log10(max(none, SMALLEST)))


def _none(probabilities: Sequence[float]) -> float:
    return math.prod(1 - probability for probability in probabilities)
