"""Where conditions hold, against evaluating them on every set of facts there is."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.inference.conditions import All, Any, Condition, Not, Outcome, evaluate
from engine.inference.conditions import Test as AttributeTest
from engine.inference.facts import NOT_APPLICABLE, Fact, Facts
from engine.rulebook.checks.inspection import Term
from engine.rulebook.checks.regions import Space, TooManyBoxes

WORDS = {"colour": ("red", "green", "blue"), "shape": ("round", "square")}
TERMS = {
    **{name: Term(name, "question", words, None, None, None, 1, 1) for name, words in WORDS.items()},
    "height": Term("height", "measure", (), "mm", 0.0, 4.0, 1, 1),
}
HEIGHTS = (0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0)
"""Enough numbers to meet every answer of a test whose bounds are whole."""


def of_words() -> st.SearchStrategy[Condition]:
    def over(name: str) -> st.SearchStrategy[Condition]:
        some = st.lists(st.sampled_from(WORDS[name]), min_size=1, max_size=3, unique=True)
        words = some.map(lambda chosen: AttributeTest(name, "in", tuple(chosen)))
        return st.one_of(words, st.sampled_from([AttributeTest(name, "known"), AttributeTest(name, "unknown")]))

    return st.sampled_from(sorted(WORDS)).flatmap(over)


def of_numbers() -> st.SearchStrategy[Condition]:
    bound = st.one_of(st.none(), st.integers(0, 4).map(float))
    ranges = st.tuples(bound, bound).filter(lambda pair: pair != (None, None))
    equal = st.integers(0, 4).map(lambda number: AttributeTest("height", "in", (float(number),)))
    return st.one_of(
        ranges.map(lambda pair: AttributeTest("height", "range", pair)),
        equal,
        st.just(AttributeTest("height", "known")),
    )


CONDITIONS = st.recursive(
    st.one_of(of_words(), of_numbers()),
    lambda inner: st.one_of(
        inner.map(Not),
        st.lists(inner, min_size=1, max_size=3).map(lambda members: All(tuple(members))),
        st.lists(inner, min_size=1, max_size=3).map(lambda members: Any(tuple(members))),
    ),
    max_leaves=6,
)


def all_facts() -> Iterator[Facts]:
    choices = {name: (None, NOT_APPLICABLE, *values) for name, values in {**WORDS, "height": HEIGHTS}.items()}
    for values in product(*choices.values()):
        pairs = zip(choices, values, strict=True)
        yield {name: Fact(name, value) for name, value in pairs if value is not None}


EVERY = list(all_facts())


def held_by(condition: Condition) -> set[int]:
    return {number for number, facts in enumerate(EVERY) if evaluate(condition, facts).outcome is Outcome.HOLDS}


@settings(max_examples=150, deadline=None)
@given(CONDITIONS, CONDITIONS)
def test_one_condition_lies_within_another_exactly_if_no_facts_tell_otherwise(one: Condition, other: Condition) -> None:
    space = Space([one, other], TERMS)
    inner, outer = space.holds(one), space.holds(other)
    assert space.within(inner, outer) == (held_by(one) <= held_by(other))
    assert space.within(outer, inner) == (held_by(other) <= held_by(one))


@settings(max_examples=150, deadline=None)
@given(CONDITIONS)
def test_a_region_is_empty_exactly_if_no_facts_meet_the_condition(condition: Condition) -> None:
    assert bool(Space([condition], TERMS).holds(condition)) == bool(held_by(condition))


@given(CONDITIONS)
def test_a_condition_lies_within_itself_and_apart_from_its_contrary(condition: Condition) -> None:
    space = Space([condition], TERMS)
    region, contrary = space.holds(condition), space.holds(Not(condition))
    assert space.within(region, region)
    assert space.within(space.holds(All((condition, Not(condition)))), ())
    if region and contrary:
        assert not space.within(region, contrary)


@pytest.mark.parametrize(
    ("value", "points", "expected"),
    [((None, None), (1.0,), 3), ((0.0, 4.0), (1.0, 2.0), 5), ((0.0, 4.0), (0.0, 4.0), 3), ((0.0, 4.0), (9.0,), 1)],
)
def test_a_number_has_a_cell_for_each_point_in_its_range_and_each_stretch_between(
    value: tuple[float | None, float | None], points: tuple[float, ...], expected: int
) -> None:
    term = Term("height", "measure", (), "mm", *value, 1, 1)
    space = Space([AttributeTest("height", "range", (point, None)) for point in points], {"height": term})
    assert len(space.values("height")) == expected + 2


def test_a_condition_with_too_many_alternatives_is_not_compared() -> None:
    names = [f"sign-{number}" for number in range(12)]
    pairs = tuple(
        Any((AttributeTest(name, "in", ("yes",)), AttributeTest(f"{name}-too", "in", ("yes",)))) for name in names
    )
    terms = {name: Term(name, "question", ("yes", "no"), None, None, None, 1, 1) for name in names}
    with pytest.raises(TooManyBoxes):
        Space([All(pairs)], terms).holds(All(pairs))
