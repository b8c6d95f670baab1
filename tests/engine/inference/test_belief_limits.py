"""Belief at its limits: grades in fours and very rare ones, what is refused and how it is said, ties, and growth."""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine.inference.belief import FindingModel, Network, Observation


def sign(*cumulative, states=("absent", "present")):
    return FindingModel("sign", states, cumulative)


@pytest.mark.parametrize(
    ("cumulative", "states"),
    [
        (((0.1, {}), (0.05, {})), ("absent", "present")),
        (((0.1, {}),), ("absent", "slight", "strong")),
        (((0.1, {}), (0.05, {}), (0.01, {})), ("absent", "slight", "strong")),
    ],
)
def test_too_few_and_too_many_grades_are_refused_and_the_states_that_need_one_are_named(cumulative, states):
    with pytest.raises(ValueError, match="one background and causes for each of") as refused:
        Network(["cause"], [sign(*cumulative, states=states)])
    assert str(refused.value).endswith(repr(states[1:]))


FOUR = ("none", "slight", "clear", "strong")


def test_a_finding_of_three_grades_is_weighed_by_each_of_them():
    network = Network(["cause"], [sign((0.4, {"cause": 0.9}), (0.2, {"cause": 0.6}), (0.1, {}), states=FOUR)])
    # by hand: differences of the cumulative probabilities, 0.25 * those with the cause and 0.75 * those without
    expected = {"none": 0.25 * 0.1 + 0.75 * 0.6, "slight": 0.25 * 0.3 + 0.75 * 0.2}
    expected |= {"clear": 0.25 * 0.5 + 0.75 * 0.1, "strong": 0.1}
    assert network.weigh({"cause": 0.25}, []).predictive("sign") == pytest.approx(expected)
    seen = network.weigh({"cause": 0.25}, [Observation("sign", "clear")])
    assert seen.marginals["cause"] == pytest.approx(0.25 * 0.5 / expected["clear"])


@pytest.mark.parametrize(
    ("cumulative", "says"),
    [
        (((0.2, {}), (0.3, {}), (0.1, {})), "'clear' or more .* must be rarer than 'slight' or more"),
        (((0.4, {}), (0.2, {}), (0.3, {})), "'strong' or more .* must be rarer than 'clear' or more"),
    ],
)
def test_of_three_grades_the_ones_out_of_order_are_named(cumulative, says):
    with pytest.raises(ValueError, match=says):
        Network(["cause"], [sign(*cumulative, states=FOUR)])


def test_grades_are_told_apart_however_rare_they_are():
    network = Network(["cause"], [sign((3e-17, {}), (1e-17, {}), states=("none", "slight", "strong"))])
    found = network.weigh({"cause": 0.1}, []).predictive("sign")
    assert found["slight"] == pytest.approx(2e-17)
    assert found["strong"] == pytest.approx(1e-17)


def test_what_hardly_anything_makes_is_predicted_to_be_absent():
    found = Network(["cause"], [sign((1e-17, {}))]).weigh({"cause": 0.1}, []).predictive("sign")
    assert found["absent"] == pytest.approx(1)
    assert sum(found.values()) == pytest.approx(1)


@pytest.mark.parametrize("mask", [-0.1, 1.0, float("nan")])
def test_a_mask_outside_its_range_is_refused(mask):
    with pytest.raises(ValueError, match=r"a mask in \[0, 1\) is needed"):
        Network(["cause"], [sign((0.1, {"cause": 0.8}))]).weigh(
            {"cause": 0.1}, [Observation("sign", "present", mask=mask)]
        )


def test_nothing_hidden_is_a_mask_like_any_other():
    network = Network(["cause"], [sign((0.1, {"cause": 0.8}))])
    plain, masked = (network.weigh({"cause": 0.1}, [Observation("sign", "present", mask=mask)]) for mask in (0, 0.0))
    assert plain.marginals == masked.marginals


def test_the_heaviest_set_comes_first_also_where_the_last_ones_asked_for_are_equally_probable():
    effects = {"plain": 0.9, "left": 0.3, "right": 0.3}
    network = Network(list(effects), [sign((0.01, effects))])
    posterior = network.weigh(dict.fromkeys(effects, 0.1), [Observation("sign", "present")])
    everything = posterior.sets(8)
    assert [chosen for chosen, _ in everything[:3]] == [("plain",), ("left",), ("right",)]
    assert everything[1][1] == pytest.approx(everything[2][1])
    for count in range(9):
        assert len(posterior.sets(count)) == count
        assert [weight for _, weight in posterior.sets(count)] == pytest.approx([w for _, w in everything[:count]])
    assert sum(weight for _, weight in everything) == pytest.approx(1)


def test_many_rare_causes_need_not_all_be_weighed_and_that_hardly_shows():
    causes = [f"cause-{i}" for i in range(16)]
    findings = [FindingModel(f"sign-{i}", ("absent", "present"), ((0.02, {c: 0.7}),)) for i, c in enumerate(causes)]
    network = Network(causes, findings)
    seen = [Observation(f.id, "present" if i < 2 else "absent") for i, f in enumerate(findings)]
    grown, whole = (network.weigh(dict.fromkeys(causes, 0.02), seen, exact=exact) for exact in (False, True))
    assert network.weigh(dict.fromkeys(causes, 0.02), seen).size == grown.size < whole.size == len(causes)
    assert grown.marginals == pytest.approx(whole.marginals, abs=grown.estimated_error)
    assert whole.estimated_error == 0 < grown.estimated_error < 1e-3
    assert grown.log_evidence == pytest.approx(whole.log_evidence, abs=1e-3)
    # by hand, since each sign has one cause of its own: the evidence is a product over the signs
    present = 0.02 * 0.7 + 0.98 * 0.02
    assert whole.log_evidence == pytest.approx(math.log(present) * 2 + math.log(1 - present) * 14)


def test_rounding_puts_no_chance_below_nought_or_above_one(beliefs):
    for seed in range(25):
        rng = np.random.default_rng([8, seed])
        drawn = beliefs.draw_network(rng, causes=5, findings=12)
        observations = beliefs.draw_observations(rng, drawn, 10)
        posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(drawn.priors, observations)
        findings = [seen.finding for seen in observations]
        chances = [posterior.chance_of_misfits(findings, drawn.causes[:1], 0.4, count) for count in range(12)]
        chances += [posterior.any_of(drawn.causes[:few]) for few in range(6)]
        assert all(0 <= chance <= 1 for chance in chances)


def test_a_state_exactly_as_probable_as_the_limit_is_no_misfit():
    network = Network(["cause"], [sign((0.1, {"cause": 0.8}))])
    posterior = network.weigh({"cause": 0.1}, [Observation("sign", "present")])
    limit = posterior.probability_under("sign", [])
    assert limit == pytest.approx(0.1)
    assert posterior.chance_of_misfits(["sign"], [], limit, 1) == 0
    assert posterior.chance_of_misfits(["sign"], [], math.nextafter(limit, 1), 1) == pytest.approx(0.1)
