"""Findings drawn from the network: each as frequent as the network has it, echoes of one another alike."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binom

from engine import load_rulebook
from engine.inference.belief import EchoModel, FindingModel, Network
from engine.opinion.reasoner import Reasoner
from engine.synthesis.signs import draw_findings

DRAWS, FEWER = 3_000, 400


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook()


@pytest.mark.parametrize("causes", [set(), {"ground-rise"}, {"humid-air-condensation", "rainwater-goods"}])
def test_findings_are_as_frequent_as_the_network_has_them(rulebook, network_draws, causes):
    """The frequencies are written out by tests/network_draws.py from the formulas; a binomial test of each."""
    random, network = np.random.default_rng(1), Reasoner(rulebook).network
    counts = dict.fromkeys(rulebook.findings, 0)
    for _ in range(FEWER):
        for name, state in draw_findings(random, network, causes, {}).items():
            counts[name] += state in ("present", "slight", "strong")
    for name, count in counts.items():
        finding = rulebook.findings[name]
        expected = network_draws.probability(rulebook, finding, network_draws.grades(finding)[0], causes)
        low, high = binom.interval(1 - 1e-6, FEWER, expected)
        assert low <= count <= high, name


def small_network(correlation):
    models = [FindingModel(name, ("absent", "present"), ((0.3, {"cause": 0.6}),)) for name in ("one", "two")]
    return Network(["cause"], models, [EchoModel("echo", ("one", "two"), correlation)])


@pytest.mark.parametrize("correlation", [0.0, 0.5, 1.0])
def test_findings_that_echo_each_other_are_drawn_with_their_stated_correlation(correlation):
    random, network = np.random.default_rng(2), small_network(correlation)
    draws = [draw_findings(random, network, {"cause"}, {}) for _ in range(DRAWS)]
    seen = np.array([[draw[name] == "present" for name in ("one", "two")] for draw in draws], dtype=float)
    assert seen.mean(axis=0) == pytest.approx([0.6, 0.6], abs=0.04)
    assert np.corrcoef(seen.T)[0, 1] == pytest.approx(correlation, abs=0.08)


def test_what_circumstances_hide_is_seen_so_much_less_often():
    random, network = np.random.default_rng(3), small_network(0.0)
    shown = sum(draw_findings(random, network, {"cause"}, {"one": 0.75})["one"] == "present" for _ in range(DRAWS))
    assert shown / DRAWS == pytest.approx(0.15, abs=0.03)
