"""What durable_rules cannot take is refused when rules are loaded, and nothing else ever reaches it."""

from __future__ import annotations

import random
from types import ModuleType

import pytest

from engine.inference.conditions import All, Any, Not, Test
from engine.inference.facts import NOT_APPLICABLE, Fact
from engine.inference.patterns import MAXIMUM_ALTERNATIVES, MAXIMUM_PATTERNS, Encoding, Pattern, part

durable = pytest.importorskip("engine.inference.durable", reason="durable_rules is not installed here")
Ruleset = durable.Ruleset


def equal(key: str, value: int = 1) -> Pattern:
    return Pattern(key, value, value)


def test_a_ruleset_tells_which_rules_fire() -> None:
    ruleset = Ruleset({"both": [equal("a"), Pattern("b", 3, 5)], "low": [Pattern("b", None, 3)], "c": [equal("c")]})
    assert sorted(ruleset.fired({"a": 1, "b": 3})) == ["both", "low"]
    assert sorted(ruleset.fired({"a": 1, "b": 5})) == ["both"]
    assert ruleset.fired({"a": 1, "b": 6, "unheard": 1}) == []
    assert ruleset.fired({"b": -7}) == ["low"]


@pytest.mark.parametrize(
    ("rules", "said"),
    [
        ({"r": []}, "r: a rule has 1 to 15 patterns, each with a key of its own"),
        ({"r": [equal(f"k{i}") for i in range(16)]}, "r: a rule has 1 to 15 patterns"),
        ({"r": [equal("a"), equal("a", 2)]}, "r: a rule has 1 to 15 patterns, each with a key of its own"),
        ({"r": [Pattern("a", None, None)]}, "r: a pattern has at least one bound"),
        ({f"r{i}": [equal(f"k{i}")] for i in range(501)}, "r500: a ruleset has at most 500 distinct tests"),
        ({f"r{i}": [equal("a")] for i in range(251)}, "r250: at most 250 rules share one test"),
        ({f"r{i}": [equal("a", i)] for i in range(61)}, "r60: a key has at most 60 distinct tests"),
        ({'r"': [equal("a")]}, "a name is of small letters, digits and stops, not 'r\"'"),
        ({"r": [equal("$s")]}, "a name is of small letters, digits and stops, not '$s'"),
        ({"r": [equal("~first")]}, "a name is of small letters, digits and stops, not '~first'"),
        ({"r": [equal("é")]}, "a name is of small letters, digits and stops, not 'é'"),
        ({"r": [equal("id")]}, "cannot tell the keys 'id' and 'id' apart"),
        ({"r": [equal("sid")]}, "cannot tell the keys 'sid' and 'sid' apart"),
    ],
)
def test_what_passes_a_limit_is_refused_by_name(rules: dict[str, list[Pattern]], said: str) -> None:
    with pytest.raises(durable.LimitError) as caught:
        Ruleset(rules)
    assert said in str(caught.value)


def test_at_its_limits_a_ruleset_still_answers() -> None:
    rules = {f"k{i}.{n}": [equal(f"k{i}", n)] for i in range(9) for n in range(50)}
    rules |= {f"s{i}": [equal("k0", 0)] for i in range(249)}
    rules |= {f"m{n}": [Pattern("many", -n, None)] for n in range(50)}
    assert len({pattern for patterns in rules.values() for pattern in patterns}) == 500
    fired = Ruleset(rules).fired({"k0": 0, "k8": 49, "many": 0})
    assert sorted(fired) == sorted(["k0.0", "k8.49", *(f"s{i}" for i in range(249)), *(f"m{n}" for n in range(50))])


def test_keys_that_the_library_cannot_tell_apart_are_refused() -> None:
    """The colliding pair is searched for: 32 bits and a few hundred thousand keys make several certain."""
    seen: dict[int, str] = {}
    number = 0
    while (key := f"k{number}") and durable.hash_of_key(key) not in seen:
        seen[durable.hash_of_key(key)] = key
        number += 1
    other = seen[durable.hash_of_key(key)]
    with pytest.raises(durable.LimitError, match=r"durable_rules cannot tell the keys '\w+' and '\w+' apart"):
        Ruleset({"r": [equal(key)], "q": [equal(other)]})


def test_the_hash_is_the_published_fnv_1a() -> None:
    """Test vectors of the FNV reference code (draft-eastlake-fnv, appendix C; from memory)."""
    assert durable.hash_of_key("") == 0x811C9DC5
    assert durable.hash_of_key("a") == 0xE40C292C
    assert durable.hash_of_key("foobar") == 0xBF9CF968


@pytest.mark.parametrize("value", [1.0, True, "1", None, 2**31, -(2**31), float("inf")])
def test_only_small_whole_numbers_are_sent(value: object) -> None:
    with pytest.raises(ValueError, match="a fact's value is a whole number of at most 2147483647 in size"):
        Ruleset({"r": [equal("a")]}).fired({"a": value})


def test_a_batch_that_was_read_in_part_is_an_error_and_not_a_silence(monkeypatch: pytest.MonkeyPatch) -> None:
    library = durable.durable_rules_engine
    send = library.assert_facts
    ruleset = Ruleset({"r": [equal("a")]})
    monkeypatch.setattr(
        library, "assert_facts", lambda handle, batch: send(handle, batch.replace('"a": 1', '"a": 1e5'))
    )
    with pytest.raises(RuntimeError, match="did not read all the facts"):
        ruleset.fired({"a": 1})
    monkeypatch.undo()
    assert ruleset.fired({"a": 1}) == ["r"]


@pytest.mark.parametrize("step", ["assert_facts", "start_action_for_state", "complete_and_start_action"])
@pytest.mark.parametrize("before", [True, False])
def test_an_interruption_at_any_step_reaches_the_caller_and_leaves_a_ruleset_that_works(
    monkeypatch: pytest.MonkeyPatch, step: str, before: bool
) -> None:
    library = durable.durable_rules_engine
    work = getattr(library, step)

    def interrupted(*arguments: object) -> object:
        if not before:
            work(*arguments)
        raise KeyboardInterrupt

    ruleset = Ruleset({"r": [equal("a")], "s": [equal("b")]})
    for _ in range(50):
        monkeypatch.setattr(library, step, interrupted)
        with pytest.raises(KeyboardInterrupt):
            ruleset.fired({"a": 1, "b": 1})
        monkeypatch.undo()
        assert sorted(ruleset.fired({"a": 1, "b": 1})) == ["r", "s"]


def test_an_error_of_the_library_reaches_the_caller(monkeypatch: pytest.MonkeyPatch) -> None:
    library = durable.durable_rules_engine
    send = library.assert_facts
    ruleset = Ruleset({"r": [equal("a")]})
    monkeypatch.setattr(library, "assert_facts", lambda handle, batch: send(handle + 1000, batch))
    with pytest.raises(Exception, match="Could not assert facts, error code: 111"):
        ruleset.fired({"a": 1})
    monkeypatch.setattr(library, "assert_facts", lambda handle, batch: (3, 0))
    with pytest.raises(RuntimeError, match="put the facts off"):
        ruleset.fired({"a": 1})
    monkeypatch.undo()
    assert ruleset.fired({"a": 1}) == ["r"]


def test_a_back_end_that_lets_the_wrong_rule_fire_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    from engine.inference.chaining import Chain, ChainRule

    chain = Chain([ChainRule("r", Test("a", "in", ("yes",)), ())], "durable")
    monkeypatch.setattr(durable.DurableMatcher, "holding", lambda self, facts: {"r"})
    with pytest.raises(RuntimeError, match="r: the back-end lets it fire although its condition fails"):
        chain.run({"a": Fact("a", "no")})


def test_rulesets_are_unloaded_with_their_chain(monkeypatch: pytest.MonkeyPatch) -> None:
    library = durable.durable_rules_engine
    unload, unloaded = library.delete_ruleset, []
    monkeypatch.setattr(library, "delete_ruleset", lambda handle: (unloaded.append(handle), unload(handle)))
    ruleset = Ruleset({"r": [equal("a")]})
    handle = ruleset._handle
    ruleset.fired({"a": 1})
    del ruleset
    assert unloaded == [handle]


def test_python_decides_what_is_no_plain_conjunction_on_different_attributes() -> None:
    a, b = Test("a", "in", ("yes",)), Test("b", "range", (1.0, None))
    again = Test("a", "in", ("no", "yes"))
    odd = [Any((a, b)), Not(a), Test("c", "known"), Test("c", "unknown"), again, Test("d", "in", (NOT_APPLICABLE,))]
    odd.append(Test("e", "range", (None, None)))
    assert part(All((a, All((b,))))) == ([a, b], None)
    for member in odd:
        assert part(All((a, member, b))) == ([a, b], All((member,)))
        assert part(Not(member)) == ([], All((Not(member),)))
    many = [Test(f"t{i}", "known") for i in range(3)] + [Test(f"x{i}", "in", ("y",)) for i in range(40)]
    plain, rest = part(All(tuple(many)))
    assert len(plain) == MAXIMUM_PATTERNS - 1
    assert rest == All((*many[:3], *many[3 + len(plain) :]))


def test_alternatives_are_spelt_out_only_while_they_are_few() -> None:
    wide = Test("a", "in", tuple(f"w{i}" for i in range(MAXIMUM_ALTERNATIVES + 1)))
    narrow = Test("b", "in", ("x", "y"))
    assert part(All((wide, narrow))) == ([narrow], All((wide,)))
    pairs = [Test(f"p{i}", "in", ("x", "y")) for i in range(5)]
    assert part(All(tuple(pairs))) == (pairs[:3], All(tuple(pairs[3:])))


def test_each_fact_meets_exactly_the_patterns_of_the_tests_that_it_passes(examples: ModuleType) -> None:
    from engine.inference.conditions import Outcome, evaluate

    for seed in range(200):
        rng = random.Random(seed)
        rules = examples.random_rules(rng)
        tests = [test for rule in rules for test in part(rule.when)[0]]
        encoding = Encoding(tests)
        facts = examples.random_facts(rng, rules)
        numbers = encoding.numbers(facts)
        assert all(type(number) is int for number in numbers.values())
        for test in tests:
            met = [
                pattern
                for pattern in encoding.patterns(test)
                if pattern.key in numbers
                and (pattern.least is None or numbers[pattern.key] >= pattern.least)
                and (pattern.most is None or numbers[pattern.key] <= pattern.most)
            ]
            assert len(met) == (evaluate(test, facts).outcome is Outcome.HOLDS)
