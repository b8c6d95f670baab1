"""Pairs of causes that trades confuse: a finding parts them, and when both are open a test that parts them is named.

Which pairs are confused is *common practice, no source*.
"""

from __future__ import annotations

import pytest

from engine.opinion.advising import advise
from engine.opinion.determining import Determination, gate_state

PAIRS = [
    ("ground-rise", "bridged-dpc"),
    ("ground-rise", "residual-salts"),
    ("ground-rise", "below-ground-lateral"),
    ("ground-rise", "humid-air-condensation"),
    ("ground-rise", "supply-or-heating-leak"),
    ("ground-rise", "slab-no-membrane"),
    ("ground-rise", "drying-out-water"),
    ("bridged-dpc", "rainwater-goods"),
    ("bridged-dpc", "below-ground-lateral"),
    ("bridged-dpc", "cavity-bridged"),
    ("slab-no-membrane", "supply-or-heating-leak"),
    ("slab-no-membrane", "drying-out-water"),
    ("slab-no-membrane", "unventilated-floor-void"),
    ("rain-through-wall", "cold-spot-condensation"),
    ("rain-through-wall", "humid-air-condensation"),
    ("rain-through-wall", "rainwater-goods"),
    ("rain-through-wall", "opening-ingress"),
    ("rain-through-wall", "cavity-bridged"),
    ("opening-ingress", "cold-spot-condensation"),
    ("roof-or-chimney-ingress", "flue-salts"),
    ("roof-or-chimney-ingress", "humid-air-condensation"),
    ("roof-or-chimney-ingress", "interstitial-condensation"),
    ("roof-or-chimney-ingress", "supply-or-heating-leak"),
    ("supply-or-heating-leak", "waste-or-seal-leak"),
    ("humid-air-condensation", "cold-spot-condensation"),
    ("humid-air-condensation", "residual-salts"),
    ("cold-spot-condensation", "interstitial-condensation"),
    ("residual-salts", "embedded-metal"),
    ("residual-salts", "technique-or-instrument-fault"),
    ("embedded-metal", "rain-through-wall"),
]
TOLD_APART = 4.0
"""Likelihood ratio between the two causes that at least one finding must reach."""


@pytest.fixture(scope="module")
def open_pair(reasoner):
    """What is advised when just these two causes are open, each as likely as not, and nothing else is known."""

    def advised(first, second):
        rulebook = reasoner.rulebook
        priors = dict.fromkeys(rulebook.causes, 0.02) | {first: 0.5, second: 0.5}
        posterior = reasoner.network.weigh(priors, ())
        evidence = reasoner.find({})
        gates = {cause: gate_state(reasoner, cause, {}) for cause in rulebook.causes}
        nothing = Determination(False, "none", (first, second), (), ("nothing is known",), ())
        return advise(reasoner, evidence, posterior, nothing, gates, unknown=False, dry=False)

    return advised


@pytest.mark.parametrize("pair", PAIRS, ids="-or-".join)
def test_a_finding_parts_the_pair(rulebook, network_draws, pair):
    def ratios(finding):
        for grade in network_draws.grades(finding):
            first, second = (network_draws.probability(rulebook, finding, grade, {cause}) for cause in pair)
            yield max(first / second, second / first, (1 - first) / (1 - second), (1 - second) / (1 - first))

    best = max(max(ratios(finding)) for finding in rulebook.findings.values())
    assert best >= TOLD_APART


@pytest.mark.parametrize("pair", PAIRS, ids="-or-".join)
def test_a_test_that_parts_the_pair_is_named_when_both_are_open(rulebook, open_pair, pair):
    advice = open_pair(*pair)
    named = [step.id for step in advice.steps if step.kind == "test" and set(pair) <= set(step.parts)]
    assert named, [step.id for step in advice.steps if step.kind == "test"]
