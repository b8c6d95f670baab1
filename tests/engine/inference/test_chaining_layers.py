"""Layers, agenda and cycles."""

from __future__ import annotations

import random
import re
from types import ModuleType

import pytest

from engine.inference.chaining import (
    Chain,
    ChainConclusion,
    ChainRule,
    CycleError,
    available_backend,
    find_cycle,
    layers,
)
from engine.inference.conditions import attributes, parse_condition
from engine.inference.facts import Fact
from engine.inference.rules import Waiting

BACKENDS = ["python"] + ["durable"] * (available_backend() == "durable")


def rule(name: str, when: dict[str, object], *concluded: str, priority: int = 0) -> ChainRule:
    conclusions = tuple(ChainConclusion("finding", finding, "present") for finding in concluded)
    return ChainRule(name, parse_condition(when), conclusions, priority)


def test_a_rule_runs_as_early_as_it_can_and_after_every_rule_that_concludes_what_it_tests() -> None:
    a = rule("a", {"seen": "yes"}, "x")
    b = rule("b", {"x": "present"}, "y")
    c = rule("c", {"seen": "no"}, "y")
    d = rule("d", {"y": "present", "x": "unknown"}, "z")
    assert layers([d, c, b, a]) == ((a, c), (b,), (d,))


def test_what_waits_for_names_is_ready_when_all_of_them_are_known() -> None:
    rng = random.Random(1)
    things = [(frozenset(rng.sample("abcdef", rng.randrange(4))), number) for number in range(200)]
    waiting = Waiting(things)
    for _ in range(50):
        known = dict.fromkeys(rng.sample("abcdefgh", rng.randrange(9)))
        assert sorted(waiting.ready(known)) == [number for needed, number in things if needed <= known.keys()]


def test_random_rules_are_each_in_the_layer_after_the_last_rule_they_wait_for(examples: ModuleType) -> None:
    for seed in range(100):
        rules = examples.random_rules(random.Random(seed))
        number = {one.id: n for n, layer in enumerate(layers(rules)) for one in layer}
        assert sorted(number) == sorted(one.id for one in rules)
        for one in rules:
            awaited = [number[other.id] for other in rules if other.concludes() & attributes(one.when)]
            assert number[one.id] == max(awaited, default=-1) + 1


def test_a_doubt_creates_no_dependency() -> None:
    doubt = ChainRule("a", parse_condition({"x": "present"}), (ChainConclusion("doubt", "x", "not-sure"),))
    concludes = rule("b", {"seen": "yes"}, "x")
    assert layers([doubt, concludes]) == ((concludes,), (doubt,))


def test_a_cycle_is_told_with_its_rules_and_what_each_waits_for() -> None:
    rules = [
        rule("early", {"seen": "yes"}, "v"),
        rule("b", {"x": "present"}, "y"),
        rule("c", {"y": "present", "w": "present"}, "x", "z"),
        rule("late", {"z": "present"}, "u"),
    ]
    message = "rules wait for each other in a cycle: b tests x, which c concludes; c tests y, which b concludes"
    with pytest.raises(CycleError, match=f"^{re.escape(message)}$") as caught:
        Chain(rules, "python")
    assert caught.value.rules == ("b", "c")
    assert find_cycle(reversed(rules)) == ("b", "c")
    assert find_cycle(rules[:2]) == ()


def test_a_rule_that_tests_what_it_concludes_is_a_cycle_of_one() -> None:
    with pytest.raises(CycleError, match=re.escape("cycle: a tests x, which a concludes")):
        layers([rule("a", {"not": {"x": "present"}}, "x")])


@pytest.mark.parametrize("backend", BACKENDS)
def test_the_agenda_goes_by_layer_then_priority_then_tests_then_id(backend: str) -> None:
    rules = [
        rule("f", {"x": "present"}, priority=-5),
        rule("e", {"a": "yes"}, "x"),
        rule("d", {"a": "yes"}),
        rule("c", {"a": "yes", "b": "yes"}),
        rule("b", {"a": "yes"}, priority=1),
        rule("a", {"a": "yes"}, priority=-1),
    ]
    facts = {name: Fact(name, "yes") for name in ("a", "b")}
    for seed in range(10):
        random.Random(seed).shuffle(rules)
        firings = Chain(rules, backend).run(facts).firings
        assert [(firing.layer, firing.rule) for firing in firings] == [
            (0, "a"), (0, "c"), (0, "d"), (0, "e"), (0, "b"), (1, "f"),
        ]  # fmt: skip


@pytest.mark.parametrize("backend", BACKENDS)
def test_findings_pass_from_layer_to_layer_through_a_long_chain(backend: str) -> None:
    rules = [rule("r000", {"start": "yes"}, "f000")]
    rules += [rule(f"r{i:03}", {f"f{i - 1:03}": "present"}, f"f{i:03}") for i in range(1, 200)]
    result = Chain(rules, backend).run({"start": Fact("start", "yes")})
    assert [firing.layer for firing in result.firings] == list(range(200))
    assert result.facts["f199"].value == "present"
    assert Chain(rules, backend).run({}).firings == ()


def test_every_fault_of_the_rules_is_told_at_once() -> None:
    unbound = rule("b", {"a": {"at_least": "low"}})
    doubt = ChainRule("c", parse_condition({"a": "yes"}), (ChainConclusion("doubt", "x", "rather-sure"),))
    with pytest.raises(ValueError, match="two-fold") as caught:
        Chain([rule("two-fold", {"a": "yes"}), rule("two-fold", {"b": "yes"}), unbound, doubt], "python")
    assert str(caught.value).splitlines() == [
        "b: the parameter low has no number",
        "c: a doubt lowers to one of not-sure, fairly-sure, certain, not 'rather-sure'",
        "two-fold: 2 rules have this id",
    ]


def test_an_unheard_of_back_end_is_refused() -> None:
    with pytest.raises(ValueError, match="the back-end is auto, durable or python, not 'rete'"):
        Chain([], "rete")


@pytest.mark.parametrize("backend", BACKENDS)
def test_every_fault_of_the_facts_is_told_at_once(backend: str) -> None:
    chain = Chain([rule("a", {"n": {"below": 3}}, "x")], backend)
    facts = {
        "n": Fact("n", float("nan")),
        "o": Fact("o", float("inf")),
        "p": Fact("q", "yes"),
        "x": Fact("x", "present"),
        "b": Fact("b", True),
        "d": Fact("d", {"a": {"b": 1}}),  # type: ignore[arg-type]
    }
    with pytest.raises(ValueError, match="finite") as caught:
        chain.run(facts)
    assert str(caught.value).splitlines() == [
        "b: a value is a word or a number, not True",
        "d: a value is a word or a number, not {'a': {'b': 1}}",
        "n: a number is finite, not nan",
        "o: a number is finite, not inf",
        "p: stands for the fact of another attribute, q",
        "x: is concluded by rules and cannot be given as a fact",
    ]


@pytest.mark.parametrize("backend", BACKENDS)
def test_no_rules_and_no_facts_come_to_nothing(backend: str) -> None:
    result = Chain([], backend).run({})
    assert (result.firings, result.facts, result.contested, result.doubts) == ((), {}, {}, {})
