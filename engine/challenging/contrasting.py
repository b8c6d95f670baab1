"""Two sets of causes held side by side: how well each explains the evidence, and which test would part them.

Given exactly which causes are at work, findings are independent, so the weights of evidence between two sets add up,
unlike those between a cause and everything else.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import product

from engine.inference.belief import Network, Observation
from engine.inference.posterior import Posterior

LEAST = 1e-300
"""Floor under a probability before its logarithm is taken, as in `engine.inference.noisy`."""
MOST_TOGETHER = 3
"""Findings of one test that are reckoned together; the further ones add little to the parting of two sets."""


def evidence_under(network: Network, observations: Sequence[Observation], causes: Iterable[str]) -> dict[str, float]:
    """Each finding's log-likelihood [dB], given that exactly these causes are at work.

    Sureness, masks and echoes count as they do in the weighing.
    """
    places = {network.cause_place(cause) for cause in causes}
    found = {}
    for reading in network.readings(tuple(observations)):
        column = network.models[reading.finding].column(places)
        found[network.findings[reading.finding]] = float(network.logs(reading)[column]) * 10 / math.log(10)
    return found


def prior_under(priors: Mapping[str, float], causes: Collection[str]) -> float:
    """Log of the prior probability [dB] that exactly these causes are at work; minus infinity with an excluded one."""
    total = 0.0
    for cause, prior in priors.items():
        share = prior if cause in causes else 1 - prior
        if share <= 0:
            return -math.inf
        total += 10 * math.log10(share)
    return total


def log_odds(posterior: Posterior, priors: Mapping[str, float], one: Collection[str], other: Collection[str]) -> float:
    """Log-odds [dB] of exactly one set of causes against exactly another, after the evidence.

    Infinite where the other is excluded, minus infinity where the one is; 0 where both are.
    """
    network, seen = posterior.network, posterior.observations
    first, second = prior_under(priors, one), prior_under(priors, other)
    if math.isinf(first) or math.isinf(second):
        return 0.0 if first == second else first if math.isinf(first) else -second
    shares = evidence_under(network, seen, one), evidence_under(network, seen, other)
    return first - second + sum(shares[0].values()) - sum(shares[1].values())


def weights_between(posterior: Posterior, one: Collection[str], other: Collection[str]) -> dict[str, float]:
    """Each observed finding's weight of evidence [dB] for exactly one set of causes against exactly another."""
    first = evidence_under(posterior.network, posterior.observations, one)
    second = evidence_under(posterior.network, posterior.observations, other)
    return {finding: first[finding] - second[finding] for finding in first}


def state_chances(network: Network, finding: str, causes: Iterable[str], mask: float = 0.0) -> dict[str, float]:
    """Probability of every state of a finding, given that exactly these causes are at work."""
    place = network.place(finding)
    model = network.models[place]
    column = model.column({network.cause_place(cause) for cause in causes})
    return dict(zip(model.states, network.table(place, mask=mask).probabilities[:, column].tolist(), strict=True))


def parting_bits(
    network: Network,
    findings: Sequence[str],
    one: Collection[str],
    other: Collection[str],
    masks: Mapping[str, float],
) -> float:
    """What findings not yet observed would tell between two sets of causes held equally likely [bits, 0..1].

    The mutual information between the states and the question which of the two is at work. Of more than three findings
    those count that each tell most.
    """
    pairs = [
        (
            list(state_chances(network, finding, one, masks.get(finding, 0.0)).values()),
            list(state_chances(network, finding, other, masks.get(finding, 0.0)).values()),
        )
        for finding in findings
    ]
    pairs.sort(key=lambda pair: -_information([pair]))
    return _information(pairs[:MOST_TOGETHER])


def _information(pairs: Sequence[tuple[list[float], list[float]]]) -> float:
    bits = 0.0
    for states in product(*(range(len(pair[0])) for pair in pairs)):
        first = math.prod(pair[0][state] for pair, state in zip(pairs, states, strict=True))
        second = math.prod(pair[1][state] for pair, state in zip(pairs, states, strict=True))
        mean = (first + second) / 2
        for chance in (first, second):
            if chance > LEAST:
                bits += chance / 2 * math.log2(chance / mean)
    return max(bits, 0.0)
