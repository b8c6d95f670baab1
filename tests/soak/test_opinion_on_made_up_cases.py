"""The opinion on thousands of made-up cases beside the network's own ceiling: by hand, with DAMPWRIGHT_SOAK=1.

It shows whether rules, measures and network agree with one another, and nothing of the field. Seeds below 10,000 served
while the generator was being made and are not used here.
"""

from __future__ import annotations

import os
import sys

import pytest

from engine import load_rulebook
from engine.synthesis.cases import maker_of

pytestmark = pytest.mark.skipif(not os.environ.get("DAMPWRIGHT_SOAK"), reason="a long run: set DAMPWRIGHT_SOAK=1")

FIRST_SEED, CASES = 10_000, 2_000


def test_the_opinion_is_as_sure_as_it_is_right_on_two_thousand_made_up_cases(case_scoring):
    maker = maker_of(load_rulebook())
    scores = case_scoring.score_cases(maker, case_scoring.made_cases(maker, FIRST_SEED, CASES), before_tests=True)
    sys.stdout.write(f"\n{scores.text()}\n")
    own, ceiling = scores.parts(case_scoring.OPINION), scores.parts(case_scoring.CEILING)
    assert own.reliability < 0.002
    assert own.brier < 0.25 * own.uncertainty
    assert ceiling.brier < own.brier
    assert scores.led[case_scoring.OPINION] >= 0.9 * CASES
