"""Which surface and which mode stand for an area of several walls, and what the modes say together."""

from __future__ import annotations

import pytest

SPOTS = [(x, y) for x in (300, 1300, 2300) for y in (50, 400, 800, 1200)]


def spots(reading, instrument, excess, **more):
    return [reading(x, y, excess, instrument, **more) for x, y in SPOTS]


def position(value):
    return [{"attribute": "wall-position", "value": value, "basis": "seen"}]


def test_the_modes_are_compared_on_the_wettest_wall_and_not_over_all_walls(facts_of, surface, reading):
    wettest = surface([reading(500, 400, 6.0), reading(500, 400, 0.0, "plate")], id="wettest")
    other = surface(spots(reading, "pins", 0.0) + spots(reading, "plate", 3.0), id="other")
    facts = facts_of(wettest, other)
    assert facts["pins-excess"] == pytest.approx(6)
    assert (facts["mode-agreement"], facts["mode-agreement-share"]) == ("pins-only", 1)


def test_where_the_wettest_wall_was_read_in_one_mode_the_modes_are_compared_on_the_others(facts_of, surface, reading):
    wettest = surface([reading(500, 400, 6.0)], id="wettest")
    other = surface(spots(reading, "pins", 0.0) + spots(reading, "plate", 3.0), id="other")
    assert facts_of(wettest, other)["mode-agreement"] == "capacitance-only"


def test_the_depth_is_set_against_the_skin_of_the_wettest_wall_and_else_of_the_others(facts_of, surface, reading):
    def deep(name, skin, core):
        return surface(spots(reading, "pins", skin) + spots(reading, "deep", core, depth_mm=80), id=name)

    assert facts_of(deep("a", 6.0, 0.0), deep("b", 0.0, 3.0))["depth-contrast"] == "surface-only"
    assert facts_of(surface([reading(500, 400, 6.0)], id="a"), deep("b", 0.0, 3.0))["depth-contrast"] == "deeper-wetter"
    assert facts_of(deep("a", 6.0, 0.0), surface([reading(500, 400, 1.0)], id="b"))["depth-contrast"] == "surface-only"


@pytest.mark.parametrize(
    ("facts", "principal"),
    [
        (position("external"), "wetter"),
        (position("party"), "wetter"),
        (position("internal"), "drier"),
        ([{"attribute": "another-attribute", "value": "internal", "basis": "seen"}], "wetter"),
    ],
)
def test_only_a_wall_that_is_said_to_stand_inside_is_a_partition(weighed, surface, reading, facts, principal):
    wetter = surface([reading(500, 400, 6.0)], id="wetter", facts=facts)
    drier = surface([reading(500, 400, 2.0)], id="drier")
    found = weighed(wetter, drier).electrical
    assert found.principal == principal
    assert found.partitions == (() if principal == "wetter" else ("wetter",))


def test_a_wall_without_a_dry_reference_never_stands_before_one_that_has_one(weighed, surface, reading):
    bare = surface(spots(reading, "pins", 6.0), id="bare", material="brick", referenced=False)
    dry = surface([reading(500, 400, 0.2)], id="dry")
    assert weighed(bare, dry).electrical.principal == "dry"
    below = surface([reading(500, 400, -0.3)], id="below-its-reference")
    assert weighed(bare, below).electrical.principal == "below-its-reference"


def test_of_walls_without_any_dry_reference_the_one_most_read_counts(weighed, surface, reading):
    few = surface([reading(500, 400, 6.0)], id="a-few", material="brick", referenced=False)
    many = surface(spots(reading, "pins", 0.0), id="b-many", material="brick", referenced=False)
    assert weighed(few, many).electrical.principal == "b-many"
