"""Belief against pgmpy's variable elimination on small networks, to 1e-9.

The conditional probability tables that pgmpy is given come from the formulas of the model, written down
separately for the tests (`state_probabilities`, `tempered`), not from the engine.
"""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest

from engine.inference.belief import Network

pytest.importorskip("pgmpy")


def pgmpy_inference(beliefs, drawn, observations):
    """A pgmpy network with tempered tables, the certain evidence, and the unsure reports as virtual evidence."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    models = {model.id: model for model in drawn.findings}
    seen = [observation.finding for observation in observations]
    masks = {observation.finding: observation.mask for observation in observations}
    network = DiscreteBayesianNetwork()
    network.add_nodes_from([*drawn.causes, *models])
    tables = [TabularCPD(c, 2, [[1 - p], [p]], state_names={c: ["no", "yes"]}) for c, p in drawn.priors.items()]
    for model in drawn.findings:
        bearing = sorted(set(model.cause_masks).union(*(alone for _, alone in model.cumulative)))
        network.add_edges_from([(cause, model.id) for cause in bearing])
        known = seen if model.id in seen else [*seen, model.id]
        share = beliefs.echo_exponent(drawn.echoes, known, model.id)
        columns = []
        for flags in product((False, True), repeat=len(bearing)):
            chosen = [cause for cause, flag in zip(bearing, flags, strict=True) if flag]
            columns.append(
                beliefs.tempered(beliefs.state_probabilities(model, chosen, masks.get(model.id, 0.0)), share)
            )
        names = {model.id: list(model.states)} | {cause: ["no", "yes"] for cause in bearing}
        cards = [2] * len(bearing)
        tables.append(TabularCPD(model.id, len(model.states), np.array(columns).T, bearing, cards, state_names=names))
    network.add_cpds(*tables)
    assert network.check_model()
    evidence, virtual = {}, []
    for observation in observations:
        ratio = {3: math.inf, 2: 10.0, 1: 3.0}[int(observation.sureness)]
        if math.isinf(ratio):
            evidence[observation.finding] = observation.state
            continue
        states = list(models[observation.finding].states)
        values = [[1.0 if state == observation.state else 1 / ratio] for state in states]
        virtual.append(TabularCPD(observation.finding, len(states), values, state_names={observation.finding: states}))
    inference = VariableElimination(network)

    def ask(names):
        return inference.query(list(names), evidence=evidence, virtual_evidence=virtual, show_progress=False)

    return ask


@pytest.mark.parametrize("seed", range(8))
def test_belief_equals_variable_elimination(beliefs, seed):
    rng = np.random.default_rng(seed)
    drawn = beliefs.draw_network(rng, causes=6, findings=12, suppressed=0.3, masked=0.4, graded=0.4)
    observations = beliefs.draw_observations(rng, drawn, 7)
    ask = pgmpy_inference(beliefs, drawn, observations)
    posterior = Network(drawn.causes, drawn.findings, drawn.echoes).weigh(drawn.priors, observations)
    for cause in drawn.causes:
        assert posterior.marginals[cause] == pytest.approx(ask([cause]).get_value(**{cause: "yes"}), abs=1e-9)
    trio = drawn.causes[:3]
    none = ask(trio).get_value(**dict.fromkeys(trio, "no"))
    assert posterior.any_of(trio) == pytest.approx(1 - none, abs=1e-9)
    for chosen, probability in posterior.sets(4):
        states = {cause: "yes" if cause in chosen else "no" for cause in drawn.causes}
        assert probability == pytest.approx(ask(drawn.causes).get_value(**states), abs=1e-9)
    unobserved = sorted(posterior.information())[0]
    assert posterior.predictive(unobserved) == pytest.approx(
        {state: ask([unobserved]).get_value(**{unobserved: state}) for state in posterior.predictive(unobserved)},
        abs=1e-9,
    )


def test_the_drawn_networks_show_every_feature(beliefs):
    features = set()
    for seed in range(8):
        rng = np.random.default_rng(seed)
        drawn = beliefs.draw_network(rng, causes=6, findings=12, suppressed=0.3, masked=0.4, graded=0.4)
        observations = beliefs.draw_observations(rng, drawn, 7)
        models = {model.id: model for model in drawn.findings}
        seen = [observation.finding for observation in observations]
        for observation in observations:
            model = models[observation.finding]
            background, alone = model.cumulative[0]
            features |= {"suppression"} if any(p < background for p in alone.values()) else set()
            features |= {"cause mask"} if model.cause_masks else set()
            features |= {"fact mask"} if observation.mask else set()
            features |= {"graded"} if len(model.states) > 2 else set()
            features |= {"virtual evidence"} if observation.sureness < 3 else set()
            features |= {"echo"} if beliefs.echo_exponent(drawn.echoes, seen, model.id) < 1 else set()
    assert features == {"suppression", "cause mask", "fact mask", "graded", "virtual evidence", "echo"}
