"""The long forms of the chainer's checks: by hand, with DAMPWRIGHT_SOAK=1."""

from __future__ import annotations

import os
import random
from types import ModuleType

import pytest

from engine.inference.chaining import Chain

pytestmark = pytest.mark.skipif(not os.environ.get("DAMPWRIGHT_SOAK"), reason="a long run: set DAMPWRIGHT_SOAK=1")
pytest.importorskip("engine.inference.durable", reason="durable_rules is not installed here")


@pytest.mark.parametrize("block", range(40))
def test_both_back_ends_give_the_same_result_on_twenty_thousand_random_rule_sets(
    examples: ModuleType, block: int
) -> None:
    for seed in range(10_000 + 500 * block, 10_500 + 500 * block):
        rng = random.Random(seed)
        rules = examples.random_rules(rng)
        durable, python = Chain(rules, "durable"), Chain(rules, "python")
        for _ in range(4):
            facts = examples.random_facts(rng, rules)
            assert repr(durable.run(facts)) == repr(python.run(facts)), f"seed {seed}"


def test_both_back_ends_give_the_same_result_over_the_rules_of_the_trade_on_thirty_thousand_fact_sets(
    examples: ModuleType,
) -> None:
    from engine.rulebook import load_rulebook
    from engine.rulebook.compiling import compile_rules

    rulebook = load_rulebook()
    rng = random.Random(3)
    for strata in (("admission",), ("readings", "patterns"), ("advice",)):
        rules = tuple(rule for stratum in strata for rule in compile_rules(rulebook, stratum))
        durable, python = Chain(rules, "durable"), Chain(rules, "python")
        for _ in range(10_000):
            facts = examples.random_facts(rng, rules)
            assert repr(durable.run(facts)) == repr(python.run(facts))


def test_one_chain_answers_a_hundred_thousand_times(examples: ModuleType) -> None:
    rng = random.Random(11)
    rules = examples.random_rules(rng)
    chain = Chain(rules, "durable")
    cases = [examples.random_facts(rng, rules) for _ in range(100)]
    expected = [repr(chain.run(facts)) for facts in cases]
    for _ in range(1000):
        assert [repr(chain.run(facts)) for facts in cases] == expected
