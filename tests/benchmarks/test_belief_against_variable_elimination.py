"""Speed of belief against pgmpy's variable elimination, on the rule base's own network and a worked case.

The causes are the likeliest 6, 10 and 14 of those that are not excluded, and then all of them; the findings are those
observed. pgmpy is asked for the causes one after the other, as it must be; building its model is not counted. Run with
``OPENBLAS_NUM_THREADS=1 pytest tests/benchmarks/test_belief_against_variable_elimination.py --benchmark-only``.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from engine.case import read_case
from engine.inference.belief import Network, Observation
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import gather
from engine.rulebook import load_rulebook

CASEBOOK = Path(__file__).parents[2] / "casebook"
CASES = ("demo/raised-path", "regression/agency-visit-without-a-reference")
"""A case like most, and one of few readings in which no cause is excluded."""
ALL = 20


@cache
def evidence(name: str) -> tuple[Network, dict[str, float], tuple[Observation, ...]]:
    """The network, the priors of a worked case's first area, and what was observed there."""
    reasoner = Reasoner(load_rulebook(cache=False), "python")
    path = CASEBOOK / f"{name}.yaml"
    case = read_case(path, vocabulary=reasoner.rulebook)
    found = reasoner.find(gather(reasoner, case, case.areas[0], path.parent).facts)
    return reasoner.network, reasoner.priors(found), found.observations


def part(name: str, count: int) -> tuple[Network, dict[str, float], tuple[Observation, ...]]:
    """The same with the likeliest causes only, the others excluded, and the findings that bear on them."""
    network, priors, observations = evidence(name)
    marginals = network.weigh(priors, observations).marginals
    chosen = sorted((c for c in priors if priors[c] > 0), key=lambda cause: -marginals[cause])[:count]
    kept = {cause: prior if cause in chosen else 0.0 for cause, prior in priors.items()}
    places = {network.cause_place(cause) for cause in chosen}
    bearing = tuple(o for o in observations if places & {*network.models[network.place(o.finding)].parents})
    return network, kept, bearing


def eliminating(network: Network, priors: dict[str, float], observations: tuple[Observation, ...]) -> Any:
    """Variable elimination over the causes that are not excluded and the observed findings; causes and evidence."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    causes = [cause for cause, prior in priors.items() if prior > 0]
    model = DiscreteBayesianNetwork()
    model.add_nodes_from(causes)
    tables = [TabularCPD(c, 2, [[1 - priors[c]], [priors[c]]], state_names={c: ["no", "yes"]}) for c in causes]
    evidence = {}
    for reading in network.readings(observations):
        finding = network.models[reading.finding]
        parents = [cause for cause in causes if network.cause_place(cause) in finding.parents]
        columns = np.zeros(1, dtype=np.intp)
        for cause in parents:
            stride = network.strides[reading.finding, network.cause_place(cause)]
            columns = (columns[:, None] + np.array([0, stride])).ravel()
        chances = network.tables([reading])[0].probabilities[:, columns]
        names = {finding.id: list(finding.states)} | {cause: ["no", "yes"] for cause in parents}
        model.add_edges_from((cause, finding.id) for cause in parents)
        counts = [2] * len(parents)
        tables.append(TabularCPD(finding.id, len(chances), chances / chances.sum(axis=0), parents, counts, names))
        evidence[finding.id] = finding.states[reading.state]
    model.add_cpds(*tables)
    return VariableElimination(model), causes, evidence


@pytest.mark.parametrize("count", [6, 10, 14, ALL])
@pytest.mark.parametrize("name", CASES)
def test_speed_of_variable_elimination(benchmark: Callable[..., Any], name: str, count: int) -> None:
    pytest.importorskip("pgmpy")
    network, priors, observations = part(name, count)
    inference, causes, seen = eliminating(network, priors, observations)
    benchmark.group = f"{name}, {len(causes)} causes, {len(observations)} findings"

    def all_causes() -> dict[str, float]:
        asked = ((c, inference.query([c], evidence=seen, show_progress=False)) for c in causes)
        return {cause: float(answer.get_value(**{cause: "yes"})) for cause, answer in asked}

    found = benchmark(all_causes)
    exact = network.weigh(priors, observations, exact=True).marginals
    assert found == pytest.approx({cause: exact[cause] for cause in causes}, abs=1e-9)


@pytest.mark.parametrize("count", [6, 10, 14, ALL])
@pytest.mark.parametrize("name", CASES)
def test_speed_of_weighing_the_same(benchmark: Callable[..., Any], name: str, count: int) -> None:
    network, priors, observations = part(name, count)
    benchmark.group = f"{name}, {sum(p > 0 for p in priors.values())} causes, {len(observations)} findings"
    found = benchmark(lambda: network.weigh(priors, observations).marginals)
    assert found == pytest.approx(network.weigh(priors, observations, exact=True).marginals, abs=1e-4)
