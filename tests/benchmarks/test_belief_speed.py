"""Speed of belief: twenty causes, 120 findings, 30 to 60 of them observed, base rates that sum to about 1.5.

Run with ``OPENBLAS_NUM_THREADS=1 pytest tests/benchmarks/test_belief_speed.py --benchmark-only``.
"""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType

import numpy as np
import pytest

from engine.inference.belief import Network, Posterior

BASE_RATES = (30, 20, 15, 12, 10, 8, 8, 6, 6, 5, 5, 4, 4, 3, 3, 2, 2, 2, 1, 1)
"""Base rates of the causes [%]."""


@pytest.fixture(scope="module")
def drawn(beliefs: ModuleType) -> object:
    """A network like that of a trade: two to seven causes a finding, few masks and suppressions."""
    rng = np.random.default_rng(1)
    parts = beliefs.draw_network(rng, 20, 120, parents=7, suppressed=0.15, masked=0.08, graded=0.1, grouped=0.3)
    priors = dict(zip(parts.causes, (rate / 100 for rate in rng.permutation(BASE_RATES)), strict=True))
    return beliefs.Drawn(parts.causes, parts.findings, parts.echoes, priors)


@pytest.fixture(scope="module")
def cases(beliefs: ModuleType, drawn: object) -> list[object]:
    """Nine cases from the network."""
    rng = np.random.default_rng(2)
    return [beliefs.draw_observations(rng, drawn, int(rng.integers(30, 61)), wrong=0.02) for _ in range(9)]


def _answer(posterior: Posterior) -> object:
    return posterior.marginals, posterior.reasons(), posterior.information(), posterior.surprise()


@pytest.mark.parametrize("number", range(9))
def test_speed_of_weighing_with_reasons_information_and_surprise(
    benchmark: Callable[..., object], drawn, cases, number: int
) -> None:
    network = Network(drawn.causes, drawn.findings, drawn.echoes)
    posterior = network.weigh(drawn.priors, cases[number])
    benchmark.extra_info |= {"observed": len(cases[number]), "size": posterior.size}
    assert benchmark(lambda: _answer(network.weigh(drawn.priors, cases[number])))


@pytest.mark.parametrize("number", range(3))
def test_speed_of_weighing_alone(benchmark: Callable[..., object], drawn, cases, number: int) -> None:
    network = Network(drawn.causes, drawn.findings, drawn.echoes)
    assert benchmark(lambda: network.weigh(drawn.priors, cases[number]).marginals)


def test_speed_of_weighing_all_sets(benchmark: Callable[..., object], drawn, cases) -> None:
    network = Network(drawn.causes, drawn.findings, drawn.echoes)
    assert benchmark(lambda: network.weigh(drawn.priors, cases[0], exact=True).marginals)


def test_speed_of_construction(benchmark: Callable[..., object], drawn) -> None:
    assert benchmark(lambda: Network(drawn.causes, drawn.findings, drawn.echoes))
