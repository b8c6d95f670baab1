"""Both back-ends give the same result, to the byte; and one of them works everywhere."""

from __future__ import annotations

import random
import subprocess
import sys
import textwrap
from concurrent.futures import ThreadPoolExecutor
from types import ModuleType

import pytest

from engine.inference.chaining import Chain, ChainConclusion, ChainRule, available_backend
from engine.inference.conditions import parse_condition
from engine.inference.facts import Fact
from engine.rulebook import load_rulebook
from engine.rulebook.compiling import compile_rules

needs_durable = pytest.mark.skipif(available_backend() != "durable", reason="durable_rules is not installed here")
BACKENDS = [pytest.param("python"), pytest.param("durable", marks=needs_durable)]


@needs_durable
@pytest.mark.parametrize("block", range(10))
def test_both_back_ends_give_the_same_result_on_random_rules(examples: ModuleType, block: int) -> None:
    seen = {"firings": 0, "contested": 0, "doubts": 0, "silent": 0}
    for seed in range(60 * block, 60 * (block + 1)):
        rng = random.Random(seed)
        rules = examples.random_rules(rng)
        durable, python = Chain(rules, "durable"), Chain(rules, "python")
        for _ in range(4):
            facts = examples.random_facts(rng, rules)
            result = durable.run(facts)
            assert repr(result) == repr(python.run(facts)), f"seed {seed}"
            seen["firings"] += len(result.firings)
            seen["contested"] += len(result.contested)
            seen["doubts"] += len(result.doubts)
            seen["silent"] += len(rules) - len(result.firings)
    assert min(seen.values()) > 20, seen


@pytest.mark.parametrize("backend", BACKENDS)
def test_a_chain_on_either_back_end_has_one_in_python_with_the_same_results(examples: ModuleType, backend: str) -> None:
    rng = random.Random(3)
    rules = examples.random_rules(rng)
    chain = Chain(rules, backend)
    python = chain.in_python()
    assert (chain.backend, python.backend) == (backend, "python")
    assert (python is chain) == (backend == "python")
    results = [
        (chain.run(facts), python.run(facts)) for facts in (examples.random_facts(rng, rules) for _ in range(50))
    ]
    assert all(repr(one) == repr(other) for one, other in results)
    assert sum(len(one.firings) for one, _ in results) > 20


@needs_durable
def test_both_back_ends_give_the_same_result_over_the_rules_of_the_trade(examples: ModuleType) -> None:
    rulebook = load_rulebook()
    rng = random.Random(2)
    firings = 0
    for strata in (("admission",), ("readings", "patterns"), ("advice",)):
        rules = tuple(rule for stratum in strata for rule in compile_rules(rulebook, stratum))
        durable, python = Chain(rules, "durable"), Chain(rules, "python")
        for _ in range(750):
            facts = examples.random_facts(rng, rules)
            result = durable.run(facts)
            assert repr(result) == repr(python.run(facts))
            firings += len(result.firings)
    assert firings > 2000


@pytest.mark.parametrize("backend", BACKENDS)
def test_the_order_of_facts_and_of_rules_does_not_matter(examples: ModuleType, backend: str) -> None:
    for seed in range(30):
        rng = random.Random(seed)
        rules = examples.random_rules(rng)
        facts = examples.random_facts(rng, rules)
        expected = repr(Chain(rules, backend).run(facts))
        for _ in range(3):
            entries, shuffled = list(facts.items()), list(rules)
            rng.shuffle(entries)
            rng.shuffle(shuffled)
            assert repr(Chain(shuffled, backend).run(dict(entries))) == expected


@pytest.mark.parametrize("backend", BACKENDS)
def test_the_result_follows_from_the_rules_one_by_one(examples: ModuleType, backend: str) -> None:
    """An outside check of the loop over layers: with what is known at the end, exactly the rules that fired hold."""
    for seed in range(100):
        rng = random.Random(seed)
        rules = examples.random_rules(rng)
        result = Chain(rules, backend).run(examples.random_facts(rng, rules))
        fired = {firing.rule: firing for firing in result.firings}
        again = Chain(
            [ChainRule(rule.id, rule.when, (ChainConclusion("step", "s"),), rule.priority) for rule in rules], backend
        ).run(result.facts)
        assert sorted(firing.rule for firing in again.firings) == sorted(fired)
        assert {f.rule: (f.sureness, f.direct, f.matched) for f in again.firings} == {
            f.rule: (f.sureness, f.direct, f.matched) for f in result.firings
        }


@pytest.mark.parametrize("backend", BACKENDS)
def test_one_chain_serves_several_threads(examples: ModuleType, backend: str) -> None:
    rng = random.Random(7)
    rules = examples.random_rules(rng)
    chain = Chain(rules, backend)
    cases = [examples.random_facts(rng, rules) for _ in range(40)]
    expected = [repr(chain.run(facts)) for facts in cases]
    interval = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    try:
        with ThreadPoolExecutor(4) as pool:
            assert list(pool.map(lambda facts: repr(chain.run(facts)), cases * 20)) == expected * 20
    finally:
        sys.setswitchinterval(interval)


def test_automatic_takes_what_is_available() -> None:
    assert Chain([]).backend == available_backend() in ("durable", "python")


def test_without_durable_rules_the_same_records_run_on_python() -> None:
    program = """
        import sys
        sys.modules["durable_rules_engine"] = None  # what an import of it now raises is ImportError
        from engine.inference.chaining import Chain, ChainConclusion, ChainRule, available_backend
        from engine.inference.conditions import Test
        from engine.inference.facts import Fact
        rule = ChainRule("r", Test("a", "in", ("yes",)), (ChainConclusion("finding", "x", "present"),))
        chain = Chain([rule])
        assert available_backend() == chain.backend == "python"
        assert chain.run({"a": Fact("a", "yes")}).facts["x"].value == "present"
        try:
            Chain([rule], "durable")
        except ImportError as error:
            print(error)
    """
    done = run_program(program)
    assert done.returncode == 0, done.stderr
    assert "install the extra 'durable', or chain with the back-end 'python'" in done.stdout


@pytest.mark.parametrize("backend", BACKENDS)
def test_warnings_made_errors_break_nothing(backend: str) -> None:
    program = f"""
        from engine.inference.chaining import Chain, ChainConclusion, ChainRule
        from engine.inference.conditions import Test
        from engine.inference.facts import Fact
        rule = ChainRule("r", Test("a", "in", ("yes",)), (ChainConclusion("finding", "x", "present"),))
        print(Chain([rule], {backend!r}).run({{"a": Fact("a", "yes")}}).facts["x"].value)
    """
    done = run_program(program, "-W", "error")
    assert (done.returncode, done.stdout, done.stderr) == (0, "present\n", "")


def test_the_chainer_does_not_load_durable_rules_until_a_chain_asks_for_it() -> None:
    program = """
        import sys
        from engine.inference.chaining import Chain
        Chain([], "python").run({})
        assert not [name for name in sys.modules if name.startswith("durable") or "numpy" in name or "pydantic" in name]
    """
    done = run_program(program)
    assert done.returncode == 0, done.stderr


def run_program(program: str, *options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *options, "-c", textwrap.dedent(program)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.mark.parametrize("backend", BACKENDS)
def test_words_are_compared_as_they_stand_and_never_as_numbers(backend: str) -> None:
    words = ("5", "", "true", "é", "e\u0301", 'q"', "b\\", "\0", "\ud800", "x" * 65_536, "x" * 65_537, "yes", "Yes")
    rules = [ChainRule(f"{i:02}", parse_condition({"a": word}), ()) for i, word in enumerate(words)]
    rules += [ChainRule("number", parse_condition({"a": 5}), ()), ChainRule("one", parse_condition({"a": 1}), ())]
    chain = Chain(rules, backend)
    for i, word in enumerate(words):
        assert [firing.rule for firing in chain.run({"a": Fact("a", word)}).firings] == [f"{i:02}"]
    assert [firing.rule for firing in chain.run({"a": Fact("a", 5.0)}).firings] == ["number"]
    assert [firing.rule for firing in chain.run({"a": Fact("a", 1)}).firings] == ["one"]
    assert chain.run({"a": Fact("a", "x" * 65_538)}).firings == ()


@pytest.mark.parametrize("backend", BACKENDS)
def test_numbers_are_compared_to_their_last_bit(backend: str) -> None:
    bounds = (0.1 + 0.2, 0.3, 1e-05, 1e16, 1e22, 5e-324, -0.0, -1e22, 1.7976931348623157e308)
    rules = [ChainRule(f"{i}-at-least", parse_condition({"n": {"at_least": b}}), ()) for i, b in enumerate(bounds)]
    rules += [ChainRule(f"{i}-below", parse_condition({"n": {"below": b}}), ()) for i, b in enumerate(bounds)]
    rules += [ChainRule(f"{i}-same", parse_condition({"n": b}), ()) for i, b in enumerate(bounds)]
    chain = Chain(rules, backend)
    for value in (*bounds, 0.0, 10**30, 10**400, -(10**400), 0, 1e15):
        expected = {f"{i}-at-least" for i, b in enumerate(bounds) if value >= b}
        expected |= {f"{i}-below" for i, b in enumerate(bounds) if value < b}
        expected |= {f"{i}-same" for i, b in enumerate(bounds) if value == b}
        assert {firing.rule for firing in chain.run({"n": Fact("n", value)}).firings} == expected
