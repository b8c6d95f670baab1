"""Surprise: whether the evidence is such as the model itself would give."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest

from engine.inference.belief import FindingModel, Network, Observation
from engine.inference.facts import Sureness


@pytest.mark.parametrize("seed", range(6))
def test_surprise_is_the_chance_of_reports_at_most_as_probable_under_their_set(beliefs, seed):
    """With two causes every set and every combination of reports can be written out."""
    rng = np.random.default_rng([5, seed])
    drawn = beliefs.draw_network(rng, causes=2, findings=5)
    observations = beliefs.draw_observations(rng, drawn, 4)
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(drawn.priors, observations)
    plain = beliefs.Reckoning(drawn, observations)

    def reports(observation, chosen):
        """Probability of each state's report: an unsure one may have been reported for another that is true."""
        chances = plain.states_under(observation.finding, chosen, plain.seen, observation.mask)
        ratio = {3: math.inf, 2: 10.0, 1: 3.0}[int(observation.sureness)]
        right = 1.0 if math.isinf(ratio) else ratio / (ratio + len(chances) - 1)
        return [own * right + (1 - own) * (1 - right) / (len(chances) - 1) for own in chances]

    states = {model.id: model.states for model in drawn.findings}
    expected = total = 0.0
    for chosen in plain.all_sets():
        rows = [reports(o, chosen) for o in observations]
        prior = math.prod(p if c in chosen else 1 - p for c, p in drawn.priors.items())
        own = math.prod(row[states[o.finding].index(o.state)] for o, row in zip(observations, rows, strict=True))
        total += prior * own
        every = [math.prod(combination) for combination in product(*rows)]
        expected += prior * own * sum(p for p in every if p <= own * (1 + 1e-8)) / sum(every)
    assert posterior.surprise(draws=20_000) == pytest.approx(expected / total, abs=0.015)


def test_few_cases_of_the_models_own_are_surprising(beliefs):
    shares = []
    for seed in range(150):
        rng = np.random.default_rng([6, seed])
        drawn = beliefs.draw_network(rng, causes=10, findings=30, grouped=0.0, prior=(0.01, 0.2))
        observations = beliefs.draw_observations(rng, drawn, 15, wrong=0.0)
        certain = [Observation(o.finding, o.state, Sureness.CERTAIN, o.mask) for o in observations]
        shares.append(Network(drawn.causes, drawn.findings).weigh(drawn.priors, certain).surprise())
    assert np.mean(np.array(shares) < 0.05) < 0.05
    assert np.mean(shares) > 0.4


def test_a_rare_cause_plainly_shown_is_not_surprising():
    causes = ["rare", "common"]
    telling = FindingModel("telling", ("absent", "present"), ((0.02, {"rare": 0.95}),))
    beside = FindingModel("beside", ("absent", "present"), ((0.1, {"rare": 0.9}),))
    seen = [Observation("telling", "present"), Observation("beside", "present")]
    assert Network(causes, [telling, beside]).weigh({"rare": 0.01, "common": 0.3}, seen).surprise() > 0.5


def test_signs_that_nothing_known_would_give_together_are_surprising():
    causes = [f"cause-{i}" for i in range(8)]
    signs = [FindingModel(f"sign-{i}", ("absent", "present"), ((0.05, {f"cause-{i}": 0.9}),)) for i in range(8)]
    strange = [FindingModel(f"strange-{i}", ("absent", "present"), ((0.05, {}),)) for i in range(6)]
    network = Network(causes, [*signs, *strange])
    priors = dict.fromkeys(causes, 0.1)
    ordinary = [Observation(sign.id, "present" if sign.id == "sign-0" else "absent") for sign in signs]
    usual = [Observation(sign.id, "absent") for sign in strange]
    unusual = [Observation(sign.id, "present") for sign in strange]
    assert network.weigh(priors, [*ordinary, *usual]).surprise() > 0.2
    assert network.weigh(priors, [*ordinary, *unusual]).surprise() < 0.05
    unsure = [Observation(o.finding, o.state, Sureness.NOT_SURE) for o in unusual]
    assert network.weigh(priors, [*ordinary, *unsure]).surprise() > 0.05


def test_one_seed_gives_one_answer_and_draws_set_its_fineness(beliefs):
    rng = np.random.default_rng(8)
    drawn = beliefs.draw_network(rng, causes=10, findings=30)
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(
        drawn.priors, beliefs.draw_observations(rng, drawn, 15)
    )
    assert posterior.surprise(seed=3) == posterior.surprise(seed=3)
    assert (posterior.surprise(draws=50) * 50).is_integer()
