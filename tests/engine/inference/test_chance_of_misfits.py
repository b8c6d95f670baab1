"""How many findings must be expected not to fit, held against scipy's Poisson binomial distribution."""

from __future__ import annotations

import numpy as np
import pytest

from engine.inference.belief import Network

BELOW = 0.2137


@pytest.mark.parametrize("seed", range(8))
def test_the_chance_is_the_tail_of_the_poisson_binomial_distribution(beliefs, seed):
    from scipy.stats import poisson_binom

    rng = np.random.default_rng([8, seed])
    drawn = beliefs.draw_network(rng, causes=3, findings=9)
    observations = beliefs.draw_observations(rng, drawn, 9)
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(drawn.priors, observations)
    plain = beliefs.Reckoning(drawn, observations)
    causes = drawn.causes[: seed % 4]
    misfits = []
    for seen in observations:
        states = plain.states_under(seen.finding, causes, frozenset({seen.finding}), seen.mask)
        misfits.append(sum(p for p in states if p < BELOW))
    findings = [seen.finding for seen in observations]
    for count in range(11):
        expected = poisson_binom.sf(count - 1, misfits)
        assert posterior.chance_of_misfits(findings, causes, BELOW, count) == pytest.approx(expected, abs=1e-9)


def test_the_more_was_looked_at_the_more_misfits_are_expected(beliefs):
    rng = np.random.default_rng(9)
    drawn = beliefs.draw_network(rng, causes=3, findings=9)
    observations = beliefs.draw_observations(rng, drawn, 9)
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(drawn.priors, observations)
    findings = [seen.finding for seen in observations]
    chances = [posterior.chance_of_misfits(findings[:n], drawn.causes[:1], BELOW, 2) for n in range(10)]
    assert chances == sorted(chances)
    assert chances[0] == 0.0
