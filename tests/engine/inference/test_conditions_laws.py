"""Laws of three-valued conditions (strong logic of indeterminacy: Kleene, Introduction to Metamathematics, 1952)."""

from __future__ import annotations

import itertools
from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from engine.inference import conditions
from engine.inference.conditions import All, Any, Condition, Not, Outcome, Test, evaluate, passes, required
from engine.inference.facts import NOT_APPLICABLE, Fact, Facts, Sureness
from engine.inference.near_misses import lacking

NAMES = ("a", "b", "c", "d")
VALUE_TESTS = st.one_of(
    st.builds(Test, st.sampled_from(NAMES), st.just("in"), st.sampled_from([("yes",), ("no",), ("yes", "no"), (2.0,)])),
    st.builds(Test, st.sampled_from(NAMES), st.just("range"), st.sampled_from([(1.0, None), (None, 2.0), (1.0, 2.0)])),
)
TESTS = VALUE_TESTS | st.builds(Test, st.sampled_from(NAMES), st.sampled_from(("known", "unknown")))


def conditions_over(leaves: st.SearchStrategy[Condition]) -> st.SearchStrategy[Condition]:
    def groups(inner: st.SearchStrategy[Condition]) -> st.SearchStrategy[Condition]:
        members = st.lists(inner, min_size=1, max_size=3).map(tuple)
        return st.one_of(members.map(All), members.map(Any), inner.map(Not))

    return st.recursive(leaves, groups, max_leaves=8)


CONDITIONS = conditions_over(TESTS)
ABOUT_VALUES = conditions_over(VALUE_TESTS)
VALUES = st.sampled_from(("yes", "no", "other", NOT_APPLICABLE, 0.0, 1.0, 1.5, 2.0))
FACTS = st.dictionaries(
    st.sampled_from(NAMES), st.tuples(VALUES, st.sampled_from(list(Sureness)), st.booleans()), max_size=4
).map(lambda drawn: {name: Fact(name, *rest) for name, rest in drawn.items()})
TABLE = {"yes": Outcome.HOLDS, "no": Outcome.FAILS, None: Outcome.UNKNOWN}


def test_the_truth_tables_are_kleenes() -> None:
    rank = {Outcome.FAILS: 0, Outcome.UNKNOWN: 1, Outcome.HOLDS: 2}
    a, b = Test("a", "in", ("yes",)), Test("b", "in", ("yes",))
    for left, first in TABLE.items():
        for right, second in TABLE.items():
            facts = {name: Fact(name, word) for name, word in (("a", left), ("b", right)) if word is not None}
            assert evaluate(All((a, b)), facts).outcome is min(first, second, key=rank.__getitem__)
            assert evaluate(Any((a, b)), facts).outcome is max(first, second, key=rank.__getitem__)
            assert rank[evaluate(Not(a), facts).outcome] == 2 - rank[first]


@given(CONDITIONS, FACTS)
def test_not_twice_is_nothing(condition: Condition, facts: Facts) -> None:
    assert evaluate(Not(Not(condition)), facts) == evaluate(condition, facts)


@given(st.lists(CONDITIONS, min_size=1, max_size=4), FACTS)
def test_de_morgan_holds_for_outcome_sureness_directness_and_support(members: list[Condition], facts: Facts) -> None:
    negated = tuple(Not(member) for member in members)
    assert evaluate(Not(All(tuple(members))), facts) == evaluate(Any(negated), facts)
    assert evaluate(Not(Any(tuple(members))), facts) == evaluate(All(negated), facts)


@given(st.lists(CONDITIONS, min_size=1, max_size=4), FACTS, st.randoms())
def test_the_order_of_members_and_of_facts_does_not_matter(members: list[Condition], facts: Facts, rng) -> None:
    shuffled, entries = list(members), list(facts.items())
    rng.shuffle(shuffled)
    rng.shuffle(entries)
    for group in (All, Any):
        assert evaluate(group(tuple(members)), facts) == evaluate(group(tuple(shuffled)), dict(entries))


@given(CONDITIONS, CONDITIONS, CONDITIONS, FACTS)
def test_nested_groups_of_one_kind_are_one_group(a: Condition, b: Condition, c: Condition, facts: Facts) -> None:
    for group in (All, Any):
        nested, flat = evaluate(group((a, group((b, c)))), facts), evaluate(group((a, b, c)), facts)
        assert (nested.outcome, nested.sureness, nested.direct) == (flat.outcome, flat.sureness, flat.direct)
        assert evaluate(group((a, a)), facts) == evaluate(a, facts)


@given(ABOUT_VALUES, FACTS)
def test_learning_more_never_turns_an_outcome_round(condition: Condition, facts: Facts) -> None:
    final = evaluate(condition, facts).outcome
    for name in facts:
        before = evaluate(condition, {key: fact for key, fact in facts.items() if key != name}).outcome
        assert before in (Outcome.UNKNOWN, final)


@given(CONDITIONS, FACTS, VALUES)
def test_a_fact_that_no_test_asks_about_changes_nothing(condition: Condition, facts: Facts, value) -> None:
    assert evaluate(condition, {**facts, "unasked": Fact("unasked", value)}) == evaluate(condition, facts)


@given(ABOUT_VALUES, FACTS)
def test_an_outcome_is_decided_by_what_it_rests_on(condition: Condition, facts: Facts) -> None:
    whole = evaluate(condition, facts)
    assert set(whole.rests_on) <= conditions.attributes(condition)
    if whole.outcome is not Outcome.UNKNOWN:
        assert evaluate(condition, {name: facts[name] for name in whole.rests_on}) == whole


@given(CONDITIONS, FACTS, st.sampled_from(NAMES))
def test_a_surer_fact_never_makes_an_outcome_less_sure(condition: Condition, facts: Facts, name: str) -> None:
    if name in facts:
        surer = {**facts, name: replace(facts[name], sureness=Sureness.CERTAIN)}
        assert evaluate(condition, surer).outcome is evaluate(condition, facts).outcome
        assert evaluate(condition, surer).sureness >= evaluate(condition, facts).sureness


@given(CONDITIONS, FACTS, st.sampled_from(NAMES))
def test_a_fact_seen_instead_of_told_never_makes_an_outcome_less_direct(
    condition: Condition, facts: Facts, name: str
) -> None:
    if name in facts:
        seen = {**facts, name: replace(facts[name], direct=True)}
        assert evaluate(condition, seen).direct >= evaluate(condition, facts).direct
        assert evaluate(condition, seen).sureness is evaluate(condition, facts).sureness


@given(st.lists(VALUE_TESTS, min_size=1, max_size=4), FACTS)
def test_all_is_as_sure_as_its_least_sure_member_and_any_as_its_surest(members: list[Test], facts: Facts) -> None:
    holding = [test for test in members if evaluate(test, facts).outcome is Outcome.HOLDS]
    if holding:
        surenesses = [facts[test.attribute].sureness for test in holding]
        assert evaluate(All(tuple(holding)), facts).sureness is min(surenesses)
        assert evaluate(Any(tuple(members)), facts).sureness is max(surenesses)


@given(CONDITIONS, FACTS)
def test_nothing_holds_without_the_attributes_it_requires(condition: Condition, facts: Facts) -> None:
    if evaluate(condition, facts).outcome is Outcome.HOLDS:
        assert required(condition) <= facts.keys()


def test_a_thing_that_cannot_arise_is_known_and_passes_no_other_test() -> None:
    facts = {"a": Fact("a", NOT_APPLICABLE)}
    for test in (Test("a", "in", ("yes", "no")), Test("a", "in", (NOT_APPLICABLE,)), Test("a", "range", (None, 9.0))):
        assert evaluate(test, facts).outcome is Outcome.FAILS
    assert evaluate(Test("a", "known"), facts).outcome is Outcome.HOLDS
    assert evaluate(Test("a", "unknown"), facts).outcome is Outcome.FAILS


def test_known_is_certain_of_the_least_sure_fact() -> None:
    facts = {"a": Fact("a", "yes", Sureness.NOT_SURE, direct=False)}
    assert evaluate(Test("a", "known"), facts).sureness is Sureness.CERTAIN
    assert not evaluate(Test("a", "known"), facts).direct


def test_what_is_not_known_rests_on_nothing_that_was_only_told() -> None:
    told = {"a": Fact("a", "yes", direct=False)}
    unknown = Test("b", "in", ("yes",))
    for condition in (unknown, Not(unknown), All((Test("a", "in", ("yes",)), unknown)), Any((unknown, unknown))):
        found = evaluate(condition, told)
        assert (found.outcome, found.direct, found.rests_on) == (Outcome.UNKNOWN, True, ("b",))


def test_words_are_no_numbers_and_numbers_no_words() -> None:
    assert not passes(Test("a", "in", ("5",)), 5.0)
    assert not passes(Test("a", "in", (5.0,)), "5")
    assert not passes(Test("a", "range", (None, 9.0)), "5")
    assert passes(Test("a", "in", (5.0,)), 5)


def test_a_lower_bound_counts_and_an_upper_does_not() -> None:
    test = Test("a", "range", (1.0, 2.0))
    assert [passes(test, value) for value in (0.999, 1.0, 1.999, 2.0)] == [False, True, True, False]


def test_of_ways_to_hold_that_are_as_sure_the_direct_one_counts() -> None:
    facts = {"a": Fact("a", "yes", direct=False), "b": Fact("b", "yes")}
    either = evaluate(Any((Test("a", "in", ("yes",)), Test("b", "in", ("yes",)))), facts)
    assert (either.rests_on, either.direct) == (("b",), True)


@given(CONDITIONS, FACTS)
def test_the_quick_decider_comes_to_what_the_evaluation_says(condition: Condition, facts: Facts) -> None:
    said = {True: Outcome.HOLDS, False: Outcome.FAILS, None: Outcome.UNKNOWN}
    assert said[conditions.decider(condition)(facts)] is evaluate(condition, facts).outcome


@given(CONDITIONS, FACTS)
def test_a_condition_lacks_nothing_exactly_when_it_holds(condition: Condition, facts: Facts) -> None:
    holds = evaluate(condition, facts).outcome is Outcome.HOLDS
    assert (lacking(condition, facts) == ()) is holds


def settle(condition: Condition, outcomes: dict[Test, bool]) -> Condition:
    """The condition with some tests replaced by ones that hold, or fail, whatever the facts."""
    match condition:
        case All(members):
            return All(tuple(settle(member, outcomes) for member in members))
        case Any(members):
            return Any(tuple(settle(member, outcomes) for member in members))
        case Not(member):
            return Not(settle(member, outcomes))
    return Test("new", "unknown" if outcomes[condition] else "known") if condition in outcomes else condition


@given(CONDITIONS, FACTS)
def test_what_a_condition_lacks_makes_it_hold_and_nothing_fewer_does(condition: Condition, facts: Facts) -> None:
    """For conditions in which no test stands twice: otherwise one may be wanted both ways."""
    every = list(conditions.tests(condition))
    assume(len(every) == len(set(every)))
    lacks = lacking(condition, facts)
    assert evaluate(settle(condition, {lack.test: lack.wanted for lack in lacks}), facts).outcome is Outcome.HOLDS
    for count in range(len(lacks)):
        for chosen in itertools.combinations(every, count):
            for outcomes in itertools.product((True, False), repeat=count):
                settled = settle(condition, dict(zip(chosen, outcomes, strict=True)))
                assert evaluate(settled, facts).outcome is not Outcome.HOLDS
