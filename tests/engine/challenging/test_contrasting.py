"""Two sets of causes side by side: odds against the weighing itself, information against the network's own."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.challenging.contrasting import log_odds, parting_bits, prior_under, state_chances, weights_between
from engine.challenging.weighed import weighed
from engine.inference.belief import FindingModel, Network, Observation

CHANCES = st.floats(0.02, 0.95)


def network(*findings):
    return Network(["left", "right"], findings)


@pytest.fixture
def found(casebook, reasoner, known, case_name):
    area = casebook[case_name].areas[0]
    return weighed(reasoner, area, known(case_name, area))


def test_the_odds_of_two_sets_are_those_that_the_weighing_gives_them(found):
    for (one, first), (other, second) in pairwise(found.posterior.sets(12)):
        odds = log_odds(found.posterior, found.belief.priors, one, other)
        assert odds == pytest.approx(10 * math.log10(first / second), abs=1e-6)


def test_weights_between_two_sets_add_up_with_the_priors_to_their_odds(found):
    (one, _), (other, _) = found.posterior.sets(2)
    priors = found.belief.priors
    total = sum(weights_between(found.posterior, one, other).values())
    total += prior_under(priors, one) - prior_under(priors, other)
    assert log_odds(found.posterior, priors, one, other) == pytest.approx(total)


@given(background=CHANCES, alone=CHANCES)
def test_what_a_finding_parts_is_the_information_that_the_network_gives_it(background, alone):
    model = FindingModel("sign", ("absent", "present"), ((background, {"left": alone}),))
    even = network(model).weigh({"left": 0.5, "right": 0.0}, [])
    expected = even.information(["sign"])["sign"]
    assert parting_bits(network(model), ["sign"], ["left"], [], {}) == pytest.approx(expected, abs=1e-9)


@given(background=CHANCES, alone=CHANCES)
def test_parting_tells_between_nothing_and_one_bit_and_is_the_same_both_ways(background, alone):
    model = FindingModel("sign", ("absent", "present"), ((background, {"left": alone}),))
    one = parting_bits(network(model), ["sign"], ["left"], ["right"], {})
    assert 0 <= one <= 1
    assert one == pytest.approx(parting_bits(network(model), ["sign"], ["right"], ["left"], {}), abs=1e-12)
    assert parting_bits(network(model), ["sign"], ["left"], ["left"], {}) == pytest.approx(0, abs=1e-12)


def test_chances_follow_the_formula_of_the_network():
    model = FindingModel("sign", ("absent", "present"), ((0.1, {"left": 0.55, "right": 0.82}),))
    # 1 - 0.9 * (1 - 0.5) * (1 - 0.8), by the strengths s = (alone - background) / (1 - background); by hand
    assert state_chances(network(model), "sign", ["left", "right"])["present"] == pytest.approx(0.91)
    assert state_chances(network(model), "sign", [])["present"] == pytest.approx(0.1)


def test_an_excluded_cause_has_no_chance_against_one_that_is_open():
    model = FindingModel("sign", ("absent", "present"), ((0.1, {"left": 0.55, "right": 0.82}),))
    priors = {"left": 0.0, "right": 0.2}
    posterior = network(model).weigh(priors, [Observation("sign", "present")])
    assert log_odds(posterior, priors, ["left"], ["right"]) == -math.inf
    assert log_odds(posterior, priors, ["right"], ["left"]) == math.inf
    assert log_odds(posterior, priors, ["left"], ["left", "right"]) == 0
