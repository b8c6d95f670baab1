"""Conditions as they are written: what is read, what is refused and with which words, and the way back."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.inference import conditions
from engine.inference.conditions import All, Any, Condition, Not, Test, bind, parse_condition, required, to_data
from engine.inference.facts import Sureness

WORDS = st.text(max_size=8).filter(lambda word: word not in ("known", "unknown", "not-applicable"))
NAMES = st.text(min_size=1, max_size=8).filter(lambda name: name not in ("all", "any", "not"))
NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
BOUNDS = st.one_of(NUMBERS, st.from_regex(r"[a-z]{1,8}", fullmatch=True))
RANGES = st.tuples(st.none() | BOUNDS, st.none() | BOUNDS).filter(
    lambda pair: pair != (None, None) and (not all(isinstance(bound, float) for bound in pair) or pair[0] < pair[1])
)
TESTS = st.one_of(
    st.builds(Test, NAMES, st.sampled_from(("known", "unknown"))),
    st.builds(Test, NAMES, st.just("in"), st.lists(WORDS, min_size=1, max_size=4).map(tuple)),
    st.builds(Test, NAMES, st.just("in"), st.tuples(NUMBERS)),
    st.builds(Test, NAMES, st.just("range"), RANGES),
)


def groups(inner: st.SearchStrategy[Condition]) -> st.SearchStrategy[Condition]:
    members = st.lists(inner, min_size=1, max_size=3).map(tuple)
    return st.one_of(members.map(All), members.map(Any), inner.map(Not))


CONDITIONS = st.recursive(TESTS, groups, max_leaves=8)


def depth(condition: Condition) -> int:
    match condition:
        case All(members) | Any(members):
            return 1 + max(map(depth, members))
        case Not(member):
            return 1 + depth(member)
    return 1


@given(CONDITIONS.filter(lambda condition: depth(condition) <= conditions.MAXIMUM_DEPTH))
def test_a_condition_written_as_data_reads_back_as_itself(condition: Condition) -> None:
    assert parse_condition(to_data(condition)) == condition


@given(CONDITIONS, st.integers(0, 100))
def test_a_condition_that_nests_too_deep_is_refused(condition: Condition, further: int) -> None:
    while depth(condition) <= conditions.MAXIMUM_DEPTH + further:
        condition = Not(condition)
    with pytest.raises(ValueError, match="nests deeper than 8 levels"):
        parse_condition(to_data(condition))


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.just("known"),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(("all", "any", "not", "in", "at_least", "below", "a")), inner, max_size=3)
    ),
    max_leaves=12,
)


@given(JSON)
def test_any_data_is_either_refused_in_words_or_read_to_something_that_reads_back(data: object) -> None:
    try:
        condition = parse_condition(data)
    except ValueError:
        return
    assert parse_condition(to_data(condition)) == condition


def test_several_attributes_in_one_mapping_are_all_of_them() -> None:
    together = parse_condition({"a": "yes", "b": {"at_least": 3}})
    assert together == parse_condition({"all": [{"a": "yes"}, {"b": {"at_least": 3}}]})
    assert together == All((Test("a", "in", ("yes",)), Test("b", "range", (3.0, None))))


def test_a_mapping_at_the_deepest_level_can_be_written_back_and_read_again() -> None:
    data: dict[str, object] = {"a": "yes", "b": "no"}
    for _ in range(conditions.MAXIMUM_DEPTH - 2):
        data = {"not": data}
    condition = parse_condition(data)
    assert parse_condition(to_data(condition)) == condition
    with pytest.raises(ValueError, match="deeper"):
        parse_condition({"not": data})


def test_a_condition_that_is_one_already_is_left_alone() -> None:
    condition = Not(Test("a", "known"))
    assert parse_condition(condition) is condition


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ([], "a condition is a mapping such as 'attribute: yes' or 'all: [...]', not []"),
        ({}, "a condition is a mapping such as 'attribute: yes' or 'all: [...]', not {}"),
        ("yes", "a condition is a mapping"),
        ({"all": []}, "'all' takes a list of at least one condition, not []"),
        ({"any": {"a": "yes"}}, "'any' takes a list of at least one condition"),
        ({"not": ["a"]}, "a condition is a mapping"),
        ({1: "yes"}, "an attribute's name is text, not 1"),
        ({"": "yes"}, "an attribute's name is text, not ''"),
        ({"a": True}, "a: write yes or no, a word, a number or a test, not True"),
        ({"a": None}, "a: write yes or no, a word, a number or a test, not None"),
        ({"a": "not-applicable"}, "a: 'not-applicable' passes no test except 'known'"),
        ({"a": []}, "a: a test is a word, a number, {in: [words]}"),
        ({"a": {"in": []}}, "a: a test is a word, a number, {in: [words]}"),
        ({"a": {"in": "yes"}}, "a: a test is a word, a number, {in: [words]}"),
        ({"a": {"in": ["yes"], "below": 3}}, "a: a test is a word, a number, {in: [words]}"),
        ({"a": {"above": 3}}, "a: a test is a word, a number, {in: [words]}"),
        ({"a": {"in": ["yes", 3]}}, "a: 'in' takes a list of words, not 3"),
        ({"a": {"in": ["yes", True]}}, "a: 'in' takes a list of words, not True"),
        ({"a": {"in": ["yes", "unknown"]}}, "a: 'unknown' is a test of its own and stands alone"),
        ({"a": {"in": ["known"]}}, "a: 'known' is a test of its own and stands alone"),
        ({"a": {"in": ["yes", "not-applicable"]}}, "a: 'not-applicable' passes no test except 'known'"),
        ({"a": {"at_least": None}}, "a: a bound is a number or the name of a parameter, not None"),
        ({"a": {"below": True}}, "a: a bound is a number or the name of a parameter, not True"),
        ({"a": {"below": [3]}}, "a: a bound is a number or the name of a parameter, not [3]"),
        ({"a": {"at_least": 3, "below": 3}}, "a: nothing is at least 3.0 and below 3.0"),
        ({"a": {"at_least": 4, "below": 3}}, "a: nothing is at least 4.0 and below 3.0"),
        ({"a": float("nan")}, "a: a number is finite"),
        ({"a": {"below": float("inf")}}, "a: a number is finite"),
        ({"a": 10**400}, "a: a number is finite"),
        ({"a": {"at_least": {"$div": [1, 0]}}}, "a: a bound is a number or the name of a parameter"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_words(data: object, said: str) -> None:
    with pytest.raises(ValueError, match=re.escape(said)):
        parse_condition(data)


def test_a_group_without_members_cannot_be_made() -> None:
    for group in (All, Any):
        with pytest.raises(ValueError, match=f"'{group.__name__.lower()}' takes at least one condition"):
            group(())


def test_binding_puts_the_numbers_of_parameters_in_everywhere() -> None:
    written = parse_condition(
        {"any": [{"not": {"a": {"at_least": "low"}}}, {"all": [{"b": {"below": "high"}}, {"c": "low"}]}]}
    )
    bound = bind(written, {"low": 1.5, "high": 2.5})
    assert to_data(bound) == {
        "any": [{"not": {"a": {"at_least": 1.5}}}, {"all": [{"b": {"below": 2.5}}, {"c": "low"}]}]
    }
    with pytest.raises(KeyError):
        bind(written, {"low": 1.5})


@given(CONDITIONS)
def test_the_attributes_are_those_of_the_tests(condition: Condition) -> None:
    named = {test.attribute for test in conditions.tests(condition)}
    assert conditions.attributes(condition) == named
    assert required(condition) <= named


def test_required_attributes_are_those_without_which_nothing_can_hold() -> None:
    either = {"any": [{"a": "yes", "b": "yes"}, {"a": "no", "c": "known"}]}
    condition = parse_condition({"all": [either, {"d": "unknown"}, {"not": {"e": "yes"}}, {"f": {"below": 1}}]})
    assert required(condition) == {"a", "f"}


@pytest.mark.parametrize("sureness", list(Sureness))
def test_sureness_and_its_word_stand_for_each_other(sureness: Sureness) -> None:
    assert Sureness.of(sureness.word) is sureness
    assert re.fullmatch("[a-z-]+", sureness.word)


@pytest.mark.parametrize("word", ["CERTAIN", "fairly_sure", "Not-Sure", "sure", ""])
def test_no_other_word_stands_for_a_sureness(word: str) -> None:
    with pytest.raises(KeyError):
        Sureness.of(word)
