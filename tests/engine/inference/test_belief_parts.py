"""Single parts of the weighing against sums written out: sets of causes, what is asked of them, and what is refused."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from engine.inference.belief import FindingModel, Network, Observation
from engine.inference.growth import grow
from engine.inference.noisy import NoisyFinding, entropy, reports, strength_and_suppression, temper
from engine.inference.sets import MANY, Block, all_sets, heaviest, look_ups, sets_of_size, sets_up_to


def network(causes=("left", "right"), **alone):
    return Network(list(causes), [FindingModel("sign", ("absent", "present"), ((0.1, alone or {"left": 0.6}),))])


@pytest.mark.parametrize("causes", [3, 17])
def test_the_weights_of_all_sets_that_hold_a_cause_add_up_to_its_share(causes):
    block = all_sets(causes)
    dice = np.random.default_rng(3)
    weights = dice.random((2, 1 << causes))
    found = block.marginals(weights)
    for cause in range(causes):
        holds = (np.arange(1 << causes) >> cause) & 1 == 1
        assert found[:, cause] == pytest.approx(weights[:, holds].sum(axis=1))
    assert block.marginals(weights[0]) == pytest.approx(found[0])
    assert (len(block.patterns) > MANY) == (causes == 17)


@pytest.mark.parametrize("causes", [1, 9, 11, 21])
def test_the_sum_over_a_set_is_that_of_its_members(causes):
    values = np.random.default_rng(5).integers(0, 100, causes)
    for block in (sets_up_to(causes, min(causes, 2)), all_sets(min(causes, 11))):
        own = values[: block.causes]
        members = [[c for c in range(block.causes) if int(pattern) >> c & 1] for pattern in block.patterns]
        assert block.sums(look_ups(own)).tolist() == [int(own[chosen].sum()) for chosen in members]
        assert block.sizes.tolist() == list(map(len, members))


def test_sets_of_a_size_stand_in_colexicographic_order():
    found = [tuple(c for c in range(6) if int(p) >> c & 1) for p in sets_of_size(6, 3)]
    assert found == sorted(combinations(range(6), 3), key=lambda chosen: chosen[::-1])
    assert sets_of_size(4, 0).tolist() == [0]
    assert sets_of_size(2, 2).tolist() == [3]


def test_the_heaviest_sets_hold_all_but_the_mass_that_may_be_left_and_sum_to_one():
    weights = np.array([0.5, 0.25, 0.125, 0.0625, 0.0625])
    block = Block(3, np.arange(5), complete=False)
    kept, shares = heaviest([(block, weights)], 0.13, few=2)
    assert kept.patterns.tolist() == [0, 1, 2]
    assert shares == pytest.approx(weights[:3] / weights[:3].sum())
    everything, _ = heaviest([(block, weights)], 0.13, few=5)
    assert everything.patterns.tolist() == [0, 1, 2, 3, 4]


def test_no_set_is_asked_for_and_none_is_given():
    posterior = network().weigh({"left": 0.2, "right": 0.3}, [Observation("sign", "present")])
    both = network(left=0.6, right=0.8).weigh({"left": 0.2, "right": 0.3}, [Observation("sign", "present")])
    assert posterior.sets(0) == both.sets(0) == []
    assert len(posterior.sets(1)) == 1
    assert len(posterior.sets(99)) == 4


def test_a_cause_of_which_nothing_was_seen_keeps_its_prior_and_multiplies_into_every_set():
    posterior = network().weigh({"left": 0.2, "right": 0.3}, [Observation("sign", "present")])
    # by hand: left 0.2 * 0.6 against 0.8 * 0.1
    left = 0.12 / 0.2
    assert posterior.marginals == pytest.approx({"left": left, "right": 0.3})
    assert dict(posterior.sets(4)) == pytest.approx(
        {("left",): left * 0.7, (): (1 - left) * 0.7, ("left", "right"): left * 0.3, ("right",): (1 - left) * 0.3}
    )
    assert posterior.any_of(["left", "right"]) == pytest.approx(1 - (1 - left) * 0.7)
    assert posterior.entropy() == pytest.approx(
        float(entropy(np.array([left, 1 - left]))) + float(entropy(np.array([0.3, 0.7])))
    )


def test_an_excluded_cause_gets_no_evidence_and_no_belief():
    posterior = network(left=0.6, right=0.8).weigh({"left": 0.2, "right": 0.0}, [Observation("sign", "present")])
    assert posterior.marginals["right"] == 0
    assert posterior.evidence_decibans("right") == 0
    assert posterior.evidence_decibans_any(["right"]) == 0
    assert posterior.any_of(["right"]) == 0


def test_what_is_predicted_of_a_finding_sums_to_one_and_is_the_mean_over_the_sets():
    posterior = network().weigh({"left": 0.2, "right": 0.3}, [])
    # by hand: 0.2 * 0.6 + 0.8 * 0.1, and three quarters of that where a quarter is hidden
    assert posterior.predictive("sign") == pytest.approx({"present": 0.2, "absent": 0.8})
    assert posterior.predictive("sign", {"sign": 0.25}) == pytest.approx({"present": 0.15, "absent": 0.85})
    with pytest.raises(ValueError, match="observed already"):
        network().weigh({"left": 0.2, "right": 0.3}, [Observation("sign", "present")]).predictive("sign")


@pytest.mark.parametrize(("background", "alone"), [(0.1, 0.6), (0.1, 0.1), (0.4, 0.1), (0.5, 0.9)])
def test_strength_and_suppression_give_back_the_stated_probability(background, alone):
    strength, suppression = strength_and_suppression(background, alone)
    assert 1 - (1 - background * (1 - suppression)) * (1 - strength) == pytest.approx(alone)
    assert 0 in (strength, suppression)
    assert min(strength, suppression) >= 0


def test_a_report_is_a_mixture_of_the_truth_and_of_any_state():
    truth = np.array([[0.7], [0.2], [0.1]])
    # by hand, three states, ratio 4: each reported as itself 4 times as often as as any other, 4 + 1 + 1 = 6
    assert reports(truth, 4)[:, 0] == pytest.approx([(4 * p + (1 - p)) / 6 for p in truth[:, 0]])
    assert reports(truth, np.inf) is truth
    assert reports(truth, 1)[:, 0] == pytest.approx([1 / 3] * 3)


def test_tempering_takes_roots_and_brings_the_sum_back_to_one():
    states = np.array([[0.9, 0.5], [0.1, 0.5]])
    roots = np.sqrt([0.9, 0.1])
    assert temper(states, 0.5)[:, 0] == pytest.approx(roots / roots.sum())
    assert temper(states, 0.5)[:, 1] == pytest.approx([0.5, 0.5])
    assert temper(states, 1.0) is states


def test_causes_that_bear_alike_on_a_finding_share_the_columns_of_its_table():
    model = FindingModel("sign", ("absent", "present"), ((0.1, {"a": 0.6, "b": 0.6, "c": 0.8}),))
    noisy = NoisyFinding(model, {"a": 0, "b": 1, "c": 2})
    assert noisy.columns.strides == {0: 1, 1: 1, 2: 3}
    table = noisy.probabilities()
    for chosen in ((), ("a",), ("a", "b"), ("c",), ("b", "c"), ("a", "b", "c")):
        strengths = {"a": 1 - 0.4 / 0.9, "b": 1 - 0.4 / 0.9, "c": 1 - 0.2 / 0.9}
        unmade = np.prod([1 - strengths[cause] for cause in chosen])
        column = noisy.column("abc".index(cause) for cause in chosen)
        assert table[1, column] == pytest.approx(1 - 0.9 * unmade)
        assert table[:, column].sum() == pytest.approx(1)


def test_few_causes_are_weighed_whole_and_so_are_many_when_that_is_asked():
    def flat(block):
        return np.zeros(len(block.patterns))

    for causes, exact in ((12, False), (14, True)):
        weighed = grow(causes, flat, lambda: pytest.fail("no summit is sought"), exact=exact)
        assert (weighed.size, weighed.estimated_error) == (causes, 0.0)
        assert weighed.last_layer_mass == pytest.approx(2.0**-causes)
        assert weighed.log_evidence == pytest.approx(causes * np.log(2))
        assert sum(len(block.patterns) for block, _ in weighed.parts) == 1 << causes
