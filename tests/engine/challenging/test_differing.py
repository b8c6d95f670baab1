"""What the differences between two files do to the opinion, each by itself."""

from __future__ import annotations

import pytest

from engine.case.models import Case, Fact
from engine.challenging.comparing import compare
from engine.challenging.differing import differ
from engine.challenging.swapping import visits_named, with_data, with_fact
from engine.opinion import to_json, weigh_with


def changed(case: Case, drop=(), readings=None, **facts: str | float) -> Case:
    """The case with area facts given another value, dropped, or added; or with its readings multiplied."""
    area = case.areas[0]
    values = {name.replace("_", "-"): value for name, value in facts.items()}
    kept = [
        fact.model_copy(update={"value": values.pop(fact.attribute, fact.value)})
        for fact in area.facts
        if fact.attribute not in drop
    ]
    kept += [Fact(attribute=name, value=value, basis="seen") for name, value in values.items()]
    surfaces = area.surfaces
    if readings:
        surfaces = tuple(
            surface.model_copy(
                update={"readings": tuple(r.model_copy(update={"value": r.value * readings}) for r in surface.readings)}
            )
            for surface in surfaces
        )
    return case.model_copy(update={"areas": (area.model_copy(update={"facts": tuple(kept), "surfaces": surfaces}),)})


@pytest.fixture(scope="session")
def path(casebook):
    return casebook["raised-path"].model_copy(update={"key": None})


@pytest.fixture(scope="session")
def other(path):
    """The same house by somebody who saw no high ground, measured no depth, and pressed harder."""
    return changed(path, drop=("wetter-side",), readings=1.5, high_outside_ground="no", musty_smell_noticed="no")


def test_a_file_beside_itself_has_no_differences_and_no_effects(reasoner, path):
    found = differ(reasoner, path, path)
    assert (found.facts, found.data, found.effects, found.together) == ((), (), (), ())
    assert found.answers[0][0] == found.answers[0][1]


def test_a_single_difference_that_turns_the_answer_is_named_first(reasoner, casebook):
    case = casebook["clinker-blocks-in-a-partition"]
    second = changed(case, straight_edge_seen="no", musty_smell_noticed="no")
    found = differ(reasoner, case, second)
    effect = found.effects[0]
    assert effect.turns
    assert effect.before.determined
    assert not effect.after.determined
    assert effect.difference.startswith(reasoner.rulebook.title("straight-edge-seen"))
    assert not found.together


def test_differences_that_turn_the_answer_only_together_are_said_to(reasoner, path):
    second = changed(
        path,
        drop=("wetter-side", "same-damp-without-high-ground"),
        high_outside_ground="no",
        short_length_matches_outside="no",
        outside_ground_clearance_mm=200.0,
    )
    found = differ(reasoner, path, second)
    assert found.answers[0][0].leading != found.answers[0][1].leading
    assert not [effect for effect in found.effects if effect.turns]
    [together] = found.together
    assert 1 < len(together.differences) <= len(found.facts)
    assert together.after.leading != found.answers[0][0].leading


def test_putting_a_difference_in_leaves_it_no_more_and_touches_no_other(reasoner, path, other):
    numbers = reasoner.rulebook.numbers
    before = compare(path, other, numbers)
    assert len(before.facts) == 3
    assert {item.spot.parts[0] for item in before.data} == {surface.id for surface in path.areas[0].surfaces}
    for difference in before.facts:
        after = compare(with_fact(path, difference), other, numbers)
        assert {item.attribute for item in after.facts} == {item.attribute for item in before.facts} - {
            difference.attribute
        }
        assert after.data == before.data
    after = compare(with_data(path, other, before.data[0]), other, numbers)
    assert [item.spot for item in after.data] == [item.spot for item in before.data[1:]]
    assert {item.attribute for item in after.facts} == {item.attribute for item in before.facts}


def test_all_differences_put_in_give_the_answer_of_the_second_file(reasoner, path, other):
    differences = compare(path, other, reasoner.rulebook.numbers)
    case = path
    for difference in differences.facts:
        case = with_fact(case, difference)
    for item in differences.data:
        case = with_data(case, other, item)
    mine, theirs = (weigh_with(reasoner, one).areas[0] for one in (case, other))
    for cause in theirs.causes:
        twin = next(one for one in mine.causes if one.id == cause.id)
        assert twin.probability == pytest.approx(cause.probability, abs=0.02), cause.id


def test_naming_the_only_visit_changes_no_opinion(reasoner, casebook):
    case = casebook["cold-corner-behind-a-wardrobe"]
    named = visits_named(case)
    assert all(fact.visit == case.visits[0].id for fact in named.areas[0].facts)
    one, other = (weigh_with(reasoner, each).areas for each in (case, named))
    assert [area.causes for area in one] == [area.causes for area in other]


def test_the_comparison_as_plain_data_is_the_same_twice(reasoner, path, other):
    assert to_json(differ(reasoner, path, other)) == to_json(differ(reasoner, path, other))


def test_readings_within_their_scatter_are_no_difference_and_are_not_weighed(reasoner, path):
    found = differ(reasoner, path, changed(path, readings=1.03))
    assert [item.within_noise for item in found.data] == [True] * len(found.data)
    assert found.noise == len(found.data) > 0
    assert (found.effects, found.without_effect) == ((), 0)
    assert found.answers[0][0].leading == found.answers[0][1].leading
