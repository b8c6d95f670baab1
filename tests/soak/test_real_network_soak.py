"""The rule base's own network in the long form: by hand, with DAMPWRIGHT_SOAK=1 and ``pytest -s``."""

from __future__ import annotations

import os
import sys
import time

import pytest

from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook

pytestmark = pytest.mark.skipif(not os.environ.get("DAMPWRIGHT_SOAK"), reason="a long run: set DAMPWRIGHT_SOAK=1")
DRAWS = 600


def test_grown_sets_agree_with_all_sets_on_six_hundred_drawn_cases(network_draws):
    rulebook = load_rulebook()
    network = Reasoner(rulebook).network
    rows = []
    for seed in range(1_000, 1_000 + DRAWS):
        case = network_draws.draw(rulebook, seed)
        began = time.perf_counter()
        grown = network.weigh(case.priors, case.observations)
        spent = 1000 * (time.perf_counter() - began)
        exact = network.weigh(case.priors, case.observations, exact=True)
        rows.append((max(abs(grown.marginals[c] - exact.marginals[c]) for c in case.priors), spent, seed, grown.size))
    worst, slowest = max(rows), max(rows, key=lambda row: row[1])
    sys.stdout.write(f"\nworst {worst[0]:.1e} (draw {worst[2]}, sets up to {worst[3]}); ")
    sys.stdout.write(f"slowest {slowest[1]:.0f} ms (draw {slowest[2]}, sets up to {slowest[3]})\n")
    assert worst[0] < 1e-4
