"""Everything a posterior says, against a plain enumeration of all sets of causes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine.inference.belief import Network, Observation

SEEDS = range(12)


def decibans(probability):
    return 10 * math.log10(probability / (1 - probability))


def drawn_case(beliefs, seed, **options):
    rng = np.random.default_rng(seed)
    drawn = beliefs.draw_network(rng, **options)
    observations = beliefs.draw_observations(rng, drawn, int(rng.integers(1, 9)))
    network = Network(drawn.causes, drawn.findings, drawn.echoes)
    return rng, drawn, observations, network


@pytest.mark.parametrize("seed", SEEDS)
def test_probabilities_of_causes_and_sets_equal_enumeration(beliefs, seed):
    _, drawn, observations, network = drawn_case(beliefs, seed)
    posterior = network.weigh(drawn.priors, observations)
    plain = beliefs.Reckoning(drawn, observations)
    for cause in drawn.causes:
        assert posterior.marginals[cause] == pytest.approx(plain.any_of([cause]), abs=1e-12)
        assert posterior.evidence_decibans(cause) == pytest.approx(
            decibans(plain.any_of([cause])) - decibans(drawn.priors[cause]), abs=1e-8
        )
    assert posterior.any_of(drawn.causes[:3]) == pytest.approx(plain.any_of(drawn.causes[:3]), abs=1e-12)
    assert posterior.any_of([]) == 0
    none_before = math.prod(1 - drawn.priors[cause] for cause in drawn.causes[:3])
    assert posterior.evidence_decibans_any(drawn.causes[:3]) == pytest.approx(
        decibans(plain.any_of(drawn.causes[:3])) - decibans(1 - none_before), abs=1e-8
    )
    assert posterior.entropy() == pytest.approx(plain.entropy(), abs=1e-9)
    everything = posterior.sets(1 << len(drawn.causes))
    assert {frozenset(chosen): weight for chosen, weight in everything} == pytest.approx(plain.sets, abs=1e-12)
    assert [weight for _, weight in everything] == sorted(plain.sets.values(), reverse=True) or [
        weight for _, weight in everything
    ] == pytest.approx(sorted(plain.sets.values(), reverse=True), abs=1e-12)
    assert posterior.sets(5) == everything[:5]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_reason_is_the_difference_that_weighing_anew_without_the_finding_makes(beliefs, seed):
    _, drawn, observations, network = drawn_case(beliefs, seed)
    posterior = network.weigh(drawn.priors, observations)
    reasons = posterior.reasons()
    assert set(reasons) == {observation.finding for observation in observations}
    with_all = beliefs.Reckoning(drawn, observations)
    for observation in observations:
        rest = [other for other in observations if other != observation]
        plain = beliefs.Reckoning(drawn, rest)
        without = posterior.without([observation.finding])
        for cause in drawn.causes:
            assert without.marginals[cause] == pytest.approx(plain.any_of([cause]), abs=1e-12)
            expected = decibans(with_all.any_of([cause])) - decibans(plain.any_of([cause]))
            assert reasons[observation.finding][cause] == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize("seed", SEEDS)
def test_information_is_the_expected_drop_in_entropy_and_never_negative(beliefs, seed):
    rng, drawn, observations, network = drawn_case(beliefs, seed, causes=5, findings=10)
    posterior = network.weigh(drawn.priors, observations)
    plain = beliefs.Reckoning(drawn, observations)
    information = posterior.information()
    assert set(information) == set(network.findings) - {observation.finding for observation in observations}
    for finding, bits in information.items():
        assert bits >= 0
        assert bits == pytest.approx(plain.information_of([finding]), abs=1e-9)
        assert posterior.information([finding]) == {finding: bits}
    for count in (1, 2, 3, 4):
        asked = rng.choice(sorted(information), min(count, len(information)), replace=False).tolist()
        together = posterior.information_of(asked)
        assert together == pytest.approx(plain.information_of(asked), abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_predicted_states_are_those_under_every_set_weighted_by_its_probability(beliefs, seed):
    _, drawn, observations, network = drawn_case(beliefs, seed)
    posterior = network.weigh(drawn.priors, observations)
    plain = beliefs.Reckoning(drawn, observations)
    for finding in posterior.information():
        predicted = posterior.predictive(finding)
        for i, state in enumerate(plain.models[finding].states):
            expected = sum(
                weight * plain.states_under(finding, chosen, [*plain.seen, finding])[i]
                for chosen, weight in plain.sets.items()
            )
            assert predicted[state] == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_belief_expected_after_a_finding_outside_all_groups_is_the_present_belief(beliefs, seed):
    _, drawn, observations, network = drawn_case(beliefs, seed, grouped=0.0)
    posterior = network.weigh(drawn.priors, observations)
    for finding in posterior.information():
        chances = posterior.predictive(finding)
        after = {s: network.weigh(drawn.priors, [*observations, Observation(finding, s)]).marginals for s in chances}
        for cause in drawn.causes:
            expected = sum(chances[state] * after[state][cause] for state in chances)
            assert expected == pytest.approx(posterior.marginals[cause], abs=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_probability_of_a_finding_under_a_set_is_plain(beliefs, seed):
    rng, drawn, observations, network = drawn_case(beliefs, seed)
    posterior = network.weigh(drawn.priors, observations)
    models = {model.id: model for model in drawn.findings}
    for observation in observations:
        chosen = [cause for cause in drawn.causes if rng.random() < 0.5]
        model = models[observation.finding]
        expected = beliefs.state_probabilities(model, chosen, observation.mask)[model.states.index(observation.state)]
        assert posterior.probability_under(observation.finding, chosen) == pytest.approx(expected, abs=1e-13)


@pytest.mark.parametrize("seed", range(3))
def test_all_sets_of_fourteen_causes_equal_an_enumeration_by_arrays(beliefs, seed):
    rng, drawn, observations, network = drawn_case(beliefs, seed, causes=14, findings=40)
    observations = beliefs.draw_observations(rng, drawn, 30)
    sets = (np.arange(1 << 14)[:, None] >> np.arange(14)) & 1
    priors = np.array([drawn.priors[cause] for cause in drawn.causes])
    weights = np.prod(np.where(sets == 1, priors, 1 - priors), axis=1)
    models = {model.id: model for model in drawn.findings}
    seen = [observation.finding for observation in observations]
    for observation in observations:
        model = models[observation.finding]
        bearing = sorted(set(model.cause_masks).union(*(alone for _, alone in model.cumulative)))
        share = beliefs.echo_exponent(drawn.echoes, seen, model.id)
        ratio = {3: math.inf, 2: 10.0, 1: 3.0}[int(observation.sureness)]
        table = {}
        for number in range(1 << len(bearing)):
            chosen = [cause for bit, cause in enumerate(bearing) if number >> bit & 1]
            states = beliefs.tempered(beliefs.state_probabilities(model, chosen, observation.mask), share)
            own = states[model.states.index(observation.state)]
            table[number] = own + (1 - own) / ratio
        columns = sets[:, [drawn.causes.index(cause) for cause in bearing]] @ (1 << np.arange(len(bearing)))
        weights = weights * np.vectorize(table.get)(columns)
    weights /= weights.sum()
    exact = network.weigh(drawn.priors, observations, exact=True)
    assert list(exact.marginals.values()) == pytest.approx((weights @ sets).tolist(), abs=1e-11)
    assert exact.estimated_error == 0
    grown = network.weigh(drawn.priors, observations)
    assert list(grown.marginals.values()) == pytest.approx((weights @ sets).tolist(), abs=grown.estimated_error + 1e-11)
