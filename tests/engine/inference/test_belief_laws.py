"""Laws of belief, on random networks."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.inference.belief import EchoModel, FindingModel, Network, Observation
from engine.inference.echoes import effective_number, exponent
from engine.inference.facts import Sureness

SEED = st.integers(0, 2**32 - 1)
LAW = settings(max_examples=60, deadline=None)


def drawn_case(beliefs, seed, **options):
    rng = np.random.default_rng(seed)
    drawn = beliefs.draw_network(rng, **options)
    return rng, drawn, beliefs.draw_observations(rng, drawn, int(rng.integers(1, 9)))


def everything(posterior):
    return repr(
        (
            posterior.marginals,
            posterior.sets(20),
            posterior.reasons(),
            posterior.information(),
            posterior.entropy(),
            posterior.surprise(),
            posterior.log_evidence,
            posterior.estimated_error,
        )
    )


@LAW
@given(seed=SEED)
def test_the_order_of_observations_changes_nothing_to_the_bit(beliefs, seed):
    rng, drawn, observations = drawn_case(beliefs, seed, causes=13, findings=20)
    network = Network(drawn.causes, drawn.findings, drawn.echoes)
    other_order = [observations[i] for i in rng.permutation(len(observations))]
    other_priors = dict(reversed(drawn.priors.items()))
    assert everything(network.weigh(drawn.priors, observations)) == everything(network.weigh(other_priors, other_order))


@LAW
@given(seed=SEED)
def test_what_was_weighed_before_changes_nothing_to_the_bit(beliefs, seed):
    rng, drawn, observations = drawn_case(beliefs, seed, causes=13, findings=20)
    used, fresh = (Network(drawn.causes, drawn.findings, drawn.echoes) for _ in range(2))
    used.weigh(drawn.priors, beliefs.draw_observations(rng, drawn, 8)).information()
    assert everything(used.weigh(drawn.priors, observations)) == everything(fresh.weigh(drawn.priors, observations))


@LAW
@given(seed=SEED)
def test_nothing_observed_leaves_the_priors(beliefs, seed):
    _, drawn, _ = drawn_case(beliefs, seed)
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(drawn.priors, [])
    assert posterior.marginals == drawn.priors
    assert posterior.reasons() == {}
    assert all(posterior.evidence_decibans(cause) == pytest.approx(0, abs=1e-9) for cause in drawn.causes)
    assert posterior.surprise() == 1.0


@LAW
@given(seed=SEED)
def test_a_finding_that_is_not_observed_is_neutral(beliefs, seed):
    _, drawn, observations = drawn_case(beliefs, seed)
    seen = {observation.finding for observation in observations}
    whole = Network(drawn.causes, drawn.findings, drawn.echoes)
    without = Network(drawn.causes, [m for m in drawn.findings if m.id in seen], only(drawn.echoes, seen))
    assert whole.weigh(drawn.priors, observations).marginals == pytest.approx(
        without.weigh(drawn.priors, observations).marginals, abs=1e-14
    )


def only(echoes, seen):
    return [EchoModel(e.id, tuple(m for m in e.members if m in seen), e.correlation) for e in echoes]


@LAW
@given(seed=SEED)
def test_probabilities_stay_within_bounds(beliefs, seed):
    _, drawn, observations = drawn_case(beliefs, seed)
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(drawn.priors, observations)
    assert all(0 < p < 1 for p in posterior.marginals.values())
    assert max(posterior.marginals.values()) <= posterior.any_of(drawn.causes) + 1e-12 <= 1 + 1e-12
    assert sum(p for _, p in posterior.sets(1 << len(drawn.causes))) == pytest.approx(1)
    assert 0 <= posterior.surprise() <= 1
    assert 0 <= posterior.entropy() <= len(drawn.causes)
    assert all(0 <= bits <= math.log2(3) for bits in posterior.information().values())
    for finding in posterior.information():
        assert sum(posterior.predictive(finding).values()) == pytest.approx(1)


@LAW
@given(seed=SEED)
def test_an_excluded_cause_is_as_if_it_were_not_in_the_network(beliefs, seed):
    rng, drawn, observations = drawn_case(beliefs, seed)
    excluded = {cause for cause in drawn.causes if rng.random() < 0.4}
    kept = [cause for cause in drawn.causes if cause not in excluded]
    priors = {cause: 0.0 if cause in excluded else p for cause, p in drawn.priors.items()}
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(priors, observations)
    smaller = Network(kept, [stripped(model, excluded) for model in drawn.findings], drawn.echoes)
    expected = smaller.weigh({cause: priors[cause] for cause in kept}, observations)
    assert {cause: posterior.marginals[cause] for cause in kept} == pytest.approx(expected.marginals, abs=1e-13)
    assert all(posterior.marginals[cause] == 0 == posterior.evidence_decibans(cause) for cause in excluded)
    assert all(not set(chosen) & excluded for chosen, _ in posterior.sets(30))
    assert all(not set(row) & excluded for row in posterior.reasons().values())


def stripped(model, excluded):
    cumulative = tuple((b, {c: p for c, p in alone.items() if c not in excluded}) for b, alone in model.cumulative)
    masks = {c: m for c, m in model.cause_masks.items() if c not in excluded}
    return FindingModel(model.id, model.states, cumulative, masks)


@LAW
@given(seed=SEED)
def test_with_every_cause_excluded_nothing_is_believed(beliefs, seed):
    _, drawn, observations = drawn_case(beliefs, seed)
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(
        dict.fromkeys(drawn.causes, 0.0), observations
    )
    assert set(posterior.marginals.values()) == {0.0}
    assert posterior.sets(3) == [((), 1.0)]
    assert posterior.entropy() == 0
    assert all(row == {} for row in posterior.reasons().values())
    assert max(posterior.information().values()) < 1e-12
    assert posterior.surprise() == 1.0


@LAW
@given(background=st.floats(0.01, 0.9), share=st.floats(0.05, 0.95), prior=st.floats(0.01, 0.9))
def test_the_surer_a_report_the_more_it_weighs(background, share, prior):
    alone = background + share * (1 - background)
    network = Network(["cause"], [FindingModel("sign", ("absent", "present"), ((background, {"cause": alone}),))])
    weights = [
        network.weigh({"cause": prior}, [Observation("sign", "present", sureness)]).evidence_decibans("cause")
        for sureness in Sureness
    ]
    assert 0 < weights[0] < weights[1] < weights[2]
    assert weights[2] == pytest.approx(10 * math.log10(alone / background))


@LAW
@given(count=st.integers(1, 12), correlation=st.floats(0, 1))
def test_exponents_sum_to_the_effective_number_and_fall(count, correlation):
    shares = [exponent(position, correlation) for position in range(1, count + 1)]
    assert sum(shares) == pytest.approx(count / (1 + (count - 1) * correlation))
    assert sum(shares) == pytest.approx(effective_number(count, correlation))
    assert shares == sorted(shares, reverse=True)
    assert all(0 <= share <= 1 for share in shares)
    assert shares[0] == 1


@LAW
@given(
    background=st.floats(0.01, 0.5),
    share=st.floats(0.05, 0.95),
    count=st.integers(2, 5),
    correlation=st.floats(0, 1),
)
def test_repeating_a_finding_weighs_no_less_than_once_and_no_more_than_independent_ones(
    background, share, count, correlation
):
    """For a sign that is met at most every other time without the cause; a full echo adds nothing at all."""
    alone = background + share * (1 - background)
    names = tuple(f"sign-{i}" for i in range(count))
    signs = [FindingModel(name, ("absent", "present"), ((background, {"cause": alone}),)) for name in names]
    seen = [Observation(name, "present") for name in names]

    def weight(echoes, observations):
        return Network(["cause"], signs, echoes).weigh({"cause": 0.2}, observations).evidence_decibans("cause")

    group = [EchoModel("echo", names, correlation)]
    once, together, independent = weight(group, seen[:1]), weight(group, seen), weight([], seen)
    assert once - 1e-9 <= together <= independent + 1e-9
    assert weight([EchoModel("echo", names, 1.0)], seen) == pytest.approx(once, abs=1e-9)
    assert weight([EchoModel("echo", names, 0.0)], seen) == pytest.approx(independent, abs=1e-9)
