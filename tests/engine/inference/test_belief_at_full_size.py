"""Belief over twenty causes: what is left out of reasons and questions does not matter, and threads may share it."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from engine.inference.belief import Network, Observation


def large_case(beliefs, seed):
    drawn, observations = beliefs.draw_hard_case(np.random.default_rng([9, seed]), "ordinary")
    return drawn, observations, Network(drawn.causes, drawn.findings, drawn.echoes)


@pytest.mark.parametrize("seed", range(4))
def test_reasons_equal_weighing_all_sets_anew_without_the_finding(beliefs, seed):
    drawn, observations, network = large_case(beliefs, seed)
    grown = network.weigh(drawn.priors, observations)
    whole = network.weigh(drawn.priors, observations, exact=True)
    reasons = grown.reasons()
    for observation in observations[:6]:
        without = whole.without([observation.finding])
        for cause in drawn.causes:
            if 0.001 < without.marginals[cause] < 0.999 and 0.001 < whole.marginals[cause] < 0.999:
                expected = whole.evidence_decibans(cause) - without.evidence_decibans(cause)
                assert reasons[observation.finding][cause] == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("seed", range(4))
def test_information_equals_the_expected_drop_in_entropy_over_all_sets(beliefs, seed):
    drawn, observations, network = large_case(beliefs, seed)
    grown, whole = (network.weigh(drawn.priors, observations, exact=exact) for exact in (False, True))
    assert grown.entropy() == pytest.approx(whole.entropy(), abs=0.002)
    information = grown.information()
    free = [finding for finding in information if finding not in network.groups][:3]
    assert free
    for finding in free:
        chances = whole.predictive(finding)
        assert grown.predictive(finding) == pytest.approx(chances, abs=1e-4)
        after = {
            state: network.weigh(drawn.priors, [*observations, Observation(finding, state)], exact=True).entropy()
            for state in chances
        }
        drop = whole.entropy() - sum(chances[state] * after[state] for state in chances)
        assert information[finding] == pytest.approx(drop, abs=5e-4)


def test_threads_may_share_a_network(beliefs):
    drawn, _, network = large_case(beliefs, 1)
    rng = np.random.default_rng(4)
    cases = [beliefs.draw_observations(rng, drawn, 40) for _ in range(12)]

    def answer(observations):
        posterior = network.weigh(drawn.priors, observations)
        return repr((posterior.marginals, posterior.reasons(), posterior.information(), posterior.surprise()))

    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(answer, cases * 2))
    fresh = Network(drawn.causes, drawn.findings, drawn.echoes)
    alone = [repr_of(fresh.weigh(drawn.priors, observations)) for observations in cases]
    assert together == alone * 2


def repr_of(posterior):
    return repr((posterior.marginals, posterior.reasons(), posterior.information(), posterior.surprise()))


def test_information_of_several_is_no_less_than_of_each_and_no_more_than_their_sum_allows(beliefs):
    drawn, observations, network = large_case(beliefs, 2)
    posterior = network.weigh(drawn.priors, observations)
    single = posterior.information()
    free = [finding for finding in single if finding not in network.groups][:4]
    together = posterior.information_of(free)
    assert together >= max(single[finding] for finding in free) - 1e-9
    assert together <= posterior.entropy()
    assert posterior.information_of(free[:1]) == pytest.approx(single[free[0]], abs=1e-12)


def test_a_mask_makes_an_unobserved_finding_tell_less(beliefs):
    drawn, observations, network = large_case(beliefs, 3)
    posterior = network.weigh(drawn.priors, observations)
    plain = posterior.information()
    finding = max(plain, key=plain.__getitem__)
    masked = posterior.information([finding], masks={finding: 0.9})[finding]
    assert 0 < masked < plain[finding]
    lowest = network.models[network.place(finding)].states[0]
    assert posterior.predictive(finding, masks={finding: 0.9})[lowest] > posterior.predictive(finding)[lowest]
    assert posterior.information_of([finding], masks={finding: 0.9}) == pytest.approx(masked)
