"""Numbers that come out of arrays decide a condition as plain numbers do, though their truth values are no booleans."""

from __future__ import annotations

import numpy as np
import pytest

from engine.inference.conditions import Outcome, bind, decider, evaluate, parse_condition
from engine.inference.facts import Fact


@pytest.mark.parametrize("value", [0.2, 0.9])
def test_a_number_from_an_array_decides_as_the_same_plain_number(value):
    condition = bind(parse_condition({"level": {"at_least": 0.66}, "kind": "open"}), {})
    for number in (value, np.float64(value)):
        facts = {"level": Fact("level", number), "kind": Fact("kind", "open")}
        assert decider(condition)(facts) is (value >= 0.66)
        assert (evaluate(condition, facts).outcome is Outcome.HOLDS) is (value >= 0.66)
