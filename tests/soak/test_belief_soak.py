"""The stated error of belief against all sets of twenty causes, in the long form: by hand, with DAMPWRIGHT_SOAK=1."""

from __future__ import annotations

import os
import sys
from collections import defaultdict
from time import perf_counter

import numpy as np
import pytest

from engine.inference.belief import Network
from engine.inference.growth import NEGLIGIBLE

pytestmark = pytest.mark.skipif(not os.environ.get("DAMPWRIGHT_SOAK"), reason="a long run: set DAMPWRIGHT_SOAK=1")
CASES = 600


def test_the_stated_error_holds_on_six_hundred_cases_of_twenty_causes(beliefs):
    """Equally many of each hardness; prints the worst and the slowest of each (``pytest -s``)."""
    lines = defaultdict(list)
    for number in range(CASES):
        hardness = beliefs.HARDNESS[number % len(beliefs.HARDNESS)]
        drawn, observations = beliefs.draw_hard_case(np.random.default_rng([17, number]), hardness)
        network = Network(drawn.causes, drawn.findings, drawn.echoes)
        start = perf_counter()
        grown = network.weigh(drawn.priors, observations)
        spent = (perf_counter() - start) * 1000
        exact = network.weigh(drawn.priors, observations, exact=True)
        error = max(abs(grown.marginals[cause] - exact.marginals[cause]) for cause in drawn.causes)
        lines[hardness].append((error, spent, number, grown.size, grown.estimated_error))
    for hardness, rows in lines.items():
        error, _, number, size, stated = max(rows)
        spent = max(rows, key=lambda row: row[1])
        stopped = sum(row[4] > 0 for row in rows)
        sys.stdout.write(
            f"\n{hardness}: {stopped} of {len(rows)} stopped before all sets; worst error {error:.1e} (case {number},"
            f" size {size}, stated {stated:.1e}); slowest {spent[1]:.0f} ms (case {spent[2]}, size {spent[3]})"
        )
    for rows in lines.values():
        for error, _, number, _, stated in rows:
            assert error <= max(stated, 1e-12) <= NEGLIGIBLE, number
