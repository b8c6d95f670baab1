"""What firings come to: findings as sure and direct as what they rest on, contested ones, doubts, near misses."""

from __future__ import annotations

import pytest

from engine.inference.chaining import Chain, ChainConclusion, ChainResult, ChainRule, available_backend
from engine.inference.conditions import Test, parse_condition
from engine.inference.facts import Fact, Sureness
from engine.inference.near_misses import Lack, near_misses, why_not

NOT_SURE, FAIRLY, CERTAIN = Sureness.NOT_SURE, Sureness.FAIRLY_SURE, Sureness.CERTAIN
BACKENDS = ["python"] + ["durable"] * (available_backend() == "durable")
pytestmark = pytest.mark.parametrize("backend", BACKENDS)


def rule(name: str, when: dict[str, object], *concluded: tuple[str, str] | ChainConclusion) -> ChainRule:
    conclusions = tuple(c if isinstance(c, ChainConclusion) else ChainConclusion("finding", *c) for c in concluded)
    return ChainRule(name, parse_condition(when), conclusions)


def run(backend: str, rules: list[ChainRule], *facts: Fact) -> ChainResult:
    return Chain(rules, backend).run({fact.attribute: fact for fact in facts})


def test_a_failed_or_unknown_condition_concludes_nothing(backend: str) -> None:
    rules = [rule("a", {"a": "yes"}, ("x", "present")), rule("b", {"b": "yes"}, ("y", "present"))]
    result = run(backend, rules, Fact("a", "no"))
    assert (result.firings, list(result.facts)) == ((), ["a"])


def test_a_conclusion_is_no_surer_than_its_least_sure_fact_nor_than_its_rule(backend: str) -> None:
    when = {"a": "yes", "b": {"at_least": 1}}
    for first in Sureness:
        for second in Sureness:
            for own in Sureness:
                rules = [rule("r", when, ChainConclusion("finding", "x", "present", own))]
                result = run(backend, rules, Fact("a", "yes", first), Fact("b", 2.0, second))
                assert result.firings[0].sureness is min(first, second)
                assert result.firings[0].conclusions[0].sureness is min(first, second, own)
                assert result.facts["x"].sureness is min(first, second, own)


def test_sureness_and_directness_pass_down_a_chain(backend: str) -> None:
    rules = [
        rule("r1", {"a": "yes"}, ChainConclusion("finding", "x", "present", FAIRLY)),
        rule("r2", {"x": "present", "b": "yes"}, ("y", "present")),
        rule("r3", {"y": "present"}, ("z", "present")),
    ]
    result = run(backend, rules, Fact("a", "yes", CERTAIN), Fact("b", "yes", NOT_SURE, direct=False))
    assert [(result.facts[name].sureness, result.facts[name].direct) for name in ("x", "y", "z")] == [
        (FAIRLY, True), (NOT_SURE, False), (NOT_SURE, False),
    ]  # fmt: skip


def test_a_firing_shows_the_facts_it_rests_on_in_order(backend: str) -> None:
    facts = [Fact("b", 3.0, FAIRLY, True, "visit 1"), Fact("a", "yes", CERTAIN, False, "occupant"), Fact("c", "yes")]
    result = run(backend, [rule("r", {"b": {"below": 4}, "a": "yes", "d": "unknown"}, ("x", "present"))], *facts)
    assert result.firings[0].matched == (facts[1], facts[0])
    assert not result.firings[0].direct


def test_what_rests_on_no_fact_at_all_is_not_direct(backend: str) -> None:
    result = run(backend, [rule("r", {"a": "unknown"}, ("x", "present"))])
    assert (result.firings[0].matched, result.firings[0].direct, result.facts["x"].direct) == ((), False, False)


def test_of_several_rules_that_agree_the_surest_counts(backend: str) -> None:
    rules = [rule(name, {name: "yes"}, ("x", "present")) for name in ("a", "b", "c", "d")]
    told = Fact("b", "yes", FAIRLY, direct=False)
    result = run(backend, rules, Fact("a", "yes", NOT_SURE), told, Fact("c", "yes", FAIRLY), Fact("d", "yes", FAIRLY))
    assert result.facts["x"] == Fact("x", "present", FAIRLY, True, "concluded by c, d")
    assert run(backend, rules, Fact("a", "yes", NOT_SURE), told).facts["x"].direct is False


def test_a_finding_concluded_present_and_absent_is_contested_and_no_fact(backend: str) -> None:
    rules = [
        rule("for", {"a": "yes"}, ("x", "present")),
        rule("against", {"b": "yes"}, ("x", "absent")),
        rule("also-for", {"a": "yes", "b": "yes"}, ("x", "present")),
        rule("later", {"x": "present"}, ("y", "present")),
        rule("without", {"x": "unknown"}, ("z", "present")),
    ]
    result = run(backend, rules, Fact("a", "yes", CERTAIN), Fact("b", "yes", NOT_SURE))
    assert result.contested == {"x": (("absent", "against"), ("present", "also-for"), ("present", "for"))}
    assert sorted(result.facts) == ["a", "b", "z"]
    assert "x" in run(backend, rules, Fact("a", "yes")).facts


def test_rules_of_different_layers_contest_each_other_before_anything_rests_on_it(backend: str) -> None:
    rules = [
        rule("early", {"a": "yes"}, ("x", "present")),
        rule("middle", {"a": "yes"}, ("m", "present")),
        rule("late", {"m": "present"}, ("x", "absent")),
        rule("after", {"x": "known"}, ("y", "present")),
    ]
    result = run(backend, rules, Fact("a", "yes"))
    assert [firing.rule for firing in result.firings] == ["early", "middle", "late"]
    assert list(result.contested) == ["x"]


@pytest.mark.parametrize(
    ("slight", "strong", "kept"),
    [(CERTAIN, FAIRLY, "slight"), (FAIRLY, CERTAIN, "strong"), (FAIRLY, FAIRLY, "slight")],
)
def test_of_two_grades_the_surer_counts_and_on_a_tie_the_weaker(
    backend: str, slight: Sureness, strong: Sureness, kept: str
) -> None:
    rules = [rule("a", {"a": "yes"}, ("x", "slight")), rule("b", {"b": "yes"}, ("x", "strong"))]
    result = run(backend, rules, Fact("a", "yes", slight), Fact("b", "yes", strong))
    assert result.facts["x"].value == kept
    assert result.facts["x"].sureness is max(slight, strong)
    assert result.contested == {}


def test_none_and_a_grade_contest_each_other(backend: str) -> None:
    rules = [rule("a", {"a": "yes"}, ("x", "none")), rule("b", {"a": "yes"}, ("x", "slight"))]
    assert list(run(backend, rules, Fact("a", "yes")).contested) == ["x"]


def test_only_findings_become_facts(backend: str) -> None:
    kinds = ("leaning", "exclude", "void", "timber", "step", "caution", "anything")
    given = [ChainConclusion(kind, f"target-{kind}", "value") for kind in kinds]
    result = run(backend, [rule("r", {"a": "yes"}, *given)], Fact("a", "yes", FAIRLY))
    assert list(result.facts) == ["a"]
    assert [conclusion.kind for conclusion in result.firings[0].conclusions] == list(kinds)
    assert {conclusion.sureness for conclusion in result.firings[0].conclusions} == {FAIRLY}


def test_a_doubt_is_reported_and_leaves_the_fact_as_sure_as_it_was(backend: str) -> None:
    rules = [
        rule("x", {"a": "yes"}, ("x", "present")),
        rule("y", {"x": "present"}, ("y", "present")),
        rule("doubt-b", {"y": "present"}, ChainConclusion("doubt", "x", "not-sure")),
        rule("doubt-a", {"a": "yes"}, ChainConclusion("doubt", "x", "fairly-sure")),
        rule("silent", {"b": "yes"}, ChainConclusion("doubt", "y", "not-sure")),
    ]
    result = run(backend, rules, Fact("a", "yes"))
    assert result.doubts == {"x": (("doubt-a", FAIRLY), ("doubt-b", NOT_SURE))}
    assert result.facts["x"].sureness is result.facts["y"].sureness is CERTAIN


def test_an_attribute_that_no_rule_asks_about_is_neutral(backend: str) -> None:
    chain = Chain([rule("r", {"a": "yes"}, ("x", "present"))], backend)
    plain = chain.run({"a": Fact("a", "yes")})
    further = chain.run({"zz": Fact("zz", "no"), "a": Fact("a", "yes")})
    assert further.firings == plain.firings
    assert further.facts.keys() - plain.facts.keys() == {"zz"}


def test_a_rule_that_did_not_fire_says_what_it_lacks(backend: str) -> None:
    rules = [
        rule("fires", {"a": "yes"}, ("x", "present")),
        rule("near", {"x": "present", "b": {"at_least": 3}}, ("y", "present")),
        rule("open", {"not": {"c": "yes"}}, ("y", "present")),
        rule(
            "far", {"any": [{"d": "yes", "e": "yes"}, {"all": [{"x": "absent"}, {"b": 9}, {"d": "no"}]}]}, ("z", "yes")
        ),
    ]
    facts = run(backend, rules, Fact("a", "yes"), Fact("b", 2.0)).facts
    at_least_three = Lack(Test("b", "range", (3.0, None)), True, 2.0)
    assert why_not(rules[0], facts) == ()
    assert why_not(rules[1], facts) == (at_least_three,)
    assert why_not(rules[2], facts) == (Lack(Test("c", "in", ("yes",)), False, None),)
    assert [lack.test.attribute for lack in why_not(rules[3], facts)] == ["d", "e"]
    assert near_misses(rules, facts) == (("near", at_least_three), ("open", why_not(rules[2], facts)[0]))
