"""Speed of the chainer: both back-ends, and durable_rules driven the plain documented way, on the same rules.

120 rules in three layers over 60 facts, 38 to 40 of them firing, some 200 cases; every variant must give the
same firings. Run with ``pytest tests/benchmarks/test_chaining_speed.py --benchmark-only``.
"""

from __future__ import annotations

import contextlib
import itertools
import random
from collections.abc import Callable

import pytest

from engine.inference import conditions
from engine.inference.chaining import Chain, ChainConclusion, ChainRule, available_backend
from engine.inference.conditions import All, Test
from engine.inference.facts import Fact, Facts

needs_durable = pytest.mark.skipif(available_backend() != "durable", reason="durable_rules is not installed here")
LAYERS = ((60, 22), (40, 12), (20, 6))
"""Rules of each layer, and how many of them are made to fire on the base case."""


def made_rules(rng: random.Random, base: dict[str, str | float]) -> list[ChainRule]:
    """Rules of one to three tests; from the second layer on they test findings and one given fact."""

    def test(name: str, *, holds: bool) -> Test:
        value = base[name]
        if isinstance(value, str):
            return Test(name, "in", (value if holds else "abcd"[("abcd".index(value) + 1) % 4],))
        bound = value - rng.uniform(2, 20) if holds else value + rng.uniform(2, 20)
        return Test(name, "range", (bound, None))

    rules: list[ChainRule] = []
    present: list[str] = []
    for layer, (count, firing) in enumerate(LAYERS):
        concluded = []
        for number in range(count):
            holds = number < firing
            names = rng.sample(sorted(base), 2 if layer == 0 else 1)
            members = [test(name, holds=holds or place > 0) for place, name in enumerate(names)]
            members += [Test(name, "in", ("present",)) for name in rng.sample(present, min(len(present), 2))]
            finding = f"f{layer}-{number:02}"
            concluded += [finding] if holds else []
            rules.append(
                ChainRule(
                    f"r{layer}-{number:02}", All(tuple(members)), (ChainConclusion("finding", finding, "present"),)
                )
            )
        present = concluded
    return rules


def workload() -> tuple[list[ChainRule], list[Facts]]:
    rng = random.Random(7)
    base: dict[str, str | float] = {f"word-{i:02}": rng.choice("abcd") for i in range(30)}
    base |= {f"number-{i:02}": round(rng.uniform(5, 95), 1) for i in range(30)}
    rules = made_rules(rng, base)
    cases = []
    for _ in range(200):
        case = dict(base)
        for name in rng.sample(sorted(case), 2):
            case[name] = rng.choice("abcd") if isinstance(case[name], str) else round(rng.uniform(5, 95), 1)
        cases.append({name: Fact(name, value) for name, value in case.items()})
    return rules, cases


def plain_durable(rules: list[ChainRule]) -> Callable[[Facts], set[str]]:
    """durable_rules as its documentation has it: a host, and rules whose actions assert what they conclude."""
    engine = pytest.importorskip("durable.engine")

    class Host(engine.Host):  # without its timer threads, which the pattern does not need
        def _run(self) -> None:
            pass

    fired: set[str] = set()
    sessions = itertools.count()

    def pattern(test: Test) -> dict[str, object]:
        return (
            {test.attribute: test.operand[0]} if test.operator == "in" else {"$gte": {test.attribute: test.operand[0]}}
        )

    def action(name: str, finding: str) -> Callable[[object], None]:
        def act(context: object) -> None:
            fired.add(name)
            with contextlib.suppress(engine.MessageNotHandledException, engine.MessageObservedException):
                context.assert_fact({finding: "present", "id": finding})  # type: ignore[attr-defined]

        return act

    definitions = {
        rule.id: {
            "all": [{f"m{i}": pattern(test)} for i, test in enumerate(conditions.tests(rule.when))],
            "run": action(rule.id, rule.conclusions[0].target),
        }
        for rule in rules
    }
    definitions["~start"] = {"all": [{"m": {"~start": 1}}], "run": lambda context: None}
    host = Host({"plain": definitions})
    asked = {test.attribute for rule in rules for test in conditions.tests(rule.when)}

    def run(facts: Facts) -> set[str]:
        fired.clear()
        sid = f"s{next(sessions)}"
        batch: list[dict[str, object]] = [{"~start": 1, "id": "~start", "sid": sid}]
        batch += [{name: fact.value, "id": name, "sid": sid} for name, fact in facts.items() if name in asked]
        try:
            host.assert_facts("plain", batch)
        except engine.MessageNotHandledException:
            host.assert_fact("plain", {"~start": 1, "id": "~again", "sid": sid})
        host.delete_state("plain", sid)
        return set(fired)

    return run


@pytest.mark.filterwarnings("ignore:datetime:DeprecationWarning")  # the library's own, from Python 3.12 on
def test_all_variants_fire_the_same_rules() -> None:
    rules, cases = workload()
    variants = [Chain(rules, "python").run]
    counts = [len(variants[0](facts).firings) for facts in cases]
    assert 30 < sum(counts) / len(counts) < 42
    if available_backend() == "durable":
        durable, plain = Chain(rules, "durable"), plain_durable(rules)
        for facts in cases:
            expected = {firing.rule for firing in variants[0](facts).firings}
            assert {firing.rule for firing in durable.run(facts).firings} == expected
            assert plain(facts) == expected


def measure(benchmark: Callable[..., object], run: Callable[[Facts], object], cases: list[Facts]) -> None:
    def ten() -> None:
        for facts in cases[:10]:
            run(facts)

    benchmark.pedantic(ten, rounds=60, warmup_rounds=3)  # type: ignore[attr-defined]
    benchmark.extra_info["cases in a round"] = 10  # type: ignore[attr-defined]


@pytest.mark.benchmark(group="chaining")
def test_speed_of_the_python_back_end(benchmark: Callable[..., object]) -> None:
    rules, cases = workload()
    measure(benchmark, Chain(rules, "python").run, cases)


@needs_durable
@pytest.mark.benchmark(group="chaining")
def test_speed_of_the_durable_back_end(benchmark: Callable[..., object]) -> None:
    rules, cases = workload()
    measure(benchmark, Chain(rules, "durable").run, cases)


@needs_durable
@pytest.mark.benchmark(group="chaining")
def test_speed_of_durable_rules_driven_the_plain_way(benchmark: Callable[..., object]) -> None:
    rules, cases = workload()
    measure(benchmark, plain_durable(rules), cases)


@pytest.mark.benchmark(group="making ready")
@pytest.mark.parametrize("backend", ["python", pytest.param("durable", marks=needs_durable)])
def test_speed_of_making_a_chain_ready(benchmark: Callable[..., object], backend: str) -> None:
    rules, _ = workload()
    benchmark(Chain, rules, backend)
