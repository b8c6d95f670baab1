"""The rule base's own network: grown sets against all sets, on cases drawn from it."""

from __future__ import annotations

import sys
import time

import pytest

ALLOWED = 1e-4
DRAWS = 60


@pytest.fixture(scope="module")
def compared(reasoner, rulebook, network_draws):
    """Per drawn case: error of the worst marginal, the error stated, and the time that growing took [ms]."""
    rows = []
    for seed in range(DRAWS):
        case = network_draws.draw(rulebook, seed)
        began = time.perf_counter()
        grown = reasoner.network.weigh(case.priors, case.observations)
        spent = 1000 * (time.perf_counter() - began)
        exact = reasoner.network.weigh(case.priors, case.observations, exact=True)
        error = max(abs(grown.marginals[cause] - exact.marginals[cause]) for cause in case.priors)
        rows.append((error, grown.estimated_error, spent, seed))
    return rows


def test_grown_sets_agree_with_all_sets_on_drawn_cases(compared):
    worst, slowest = max(compared), max(compared, key=lambda row: row[2])
    sys.stdout.write(f"worst {worst[0]:.1e} (draw {worst[3]}); slowest {slowest[2]:.0f} ms (draw {slowest[3]})\n")
    assert worst[0] < ALLOWED


def test_the_stated_error_holds_on_drawn_cases(compared):
    assert all(error <= max(stated, 1e-9) for error, stated, _, _ in compared)


def test_a_cause_at_work_is_believed_more_than_its_base_rate_on_average(reasoner, rulebook, network_draws):
    """Coherence of network and draws, not accuracy in the field."""
    at_work, base = [], []
    for seed in range(DRAWS):
        case = network_draws.draw(rulebook, seed)
        posterior = reasoner.network.weigh(case.priors, case.observations)
        at_work += [posterior.marginals[cause] for cause in sorted(case.causes)]
        base += [case.priors[cause] for cause in sorted(case.causes)]
    assert sum(at_work) > 2 * sum(base)


def test_belief_is_calibrated_on_its_own_draws(reasoner, rulebook, network_draws):
    """Of the causes believed with 60 to 100 %, about as many are at work (the draws come from the same network)."""
    believed, at_work = [], []
    for seed in range(200):
        case = network_draws.draw(rulebook, seed)
        for cause, probability in reasoner.network.weigh(case.priors, case.observations).marginals.items():
            if probability > 0.6:
                believed.append(probability)
                at_work.append(cause in case.causes)
    expected, found = sum(believed) / len(believed), sum(at_work) / len(at_work)
    assert len(believed) > 50
    assert abs(expected - found) < 0.12
