"""Places: presses against the dry reference, and what is left out of them."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.measures.near import Near
from engine.measures.noise import MEDIAN_RANGE, press_spread

GRID = [(x, y) for x in (300, 1500, 2700, 3700) for y in (50, 300, 600, 900, 1200, 1700, 2200)]


def falling(x, y):
    return max(0.0, 6 * (1 - y / 900))


def test_excess_counts_in_multiples_of_raised_over_the_dry_reference(weighed, surface):
    readings = [
        {"x_mm": 500, "y_mm": 100, "instrument": "pins", "value": 18.0, "repeats": [21.0, 18.0]},
        {"x_mm": 500, "y_mm": 100, "instrument": "plate", "value": 45.0},
    ]
    places = {place.mode: place for place in weighed(surface(readings)).electrical.gathered.latest}
    assert places["pins"].value == 18.0
    assert places["pins"].excess == pytest.approx((18 - 12) / 3)
    assert places["capacitance"].excess == pytest.approx((45 - 20) / 10)


def test_presses_within_the_radius_are_one_place_and_its_median_counts(weighed, surface):
    readings = [
        {"x_mm": 500 + dx, "y_mm": 100, "instrument": "pins", "value": v} for dx, v in ((0, 12), (10, 30), (20, 15))
    ]
    (place,) = weighed(surface(readings)).electrical.gathered.latest
    assert place.presses == (12.0, 15.0, 30.0)
    assert place.value == 15.0


def test_without_a_dry_reference_no_level_is_given_and_it_is_said_so(weighed, surface, reading):
    measured = weighed(surface([reading(x, y, falling(x, y)) for x, y in GRID], referenced=False))
    facts = {fact.attribute: fact for fact in measured.facts}
    assert facts["pins-dry-reference"].value == "no"
    assert "pins-excess" not in facts
    assert "profile-base-excess" not in facts
    assert "damp-area-mm2" not in facts or facts["damp-area-mm2"].value == 0
    assert facts["wall-shape"].value == "base-high-falling"
    assert facts["wall-shape"].sureness.word == "fairly-sure"
    assert any("dry reference" in why for _, why in measured.limits)


def test_a_reference_on_another_material_never_counts(weighed, surface, reading):
    measured = weighed(surface([reading(500, 100, 5)], material="brick"))
    assert "pins-excess" not in {fact.attribute for fact in measured.facts}


def test_a_change_of_material_never_reads_as_a_change_of_moisture(facts_of, surface, reading):
    """A cement plinth to 900 mm reads 6 points higher when dry; its own dry reference says so."""
    readings = [
        {
            "x_mm": x,
            "y_mm": y,
            "instrument": "pins",
            "value": 30.0 if y < 1000 else 12.0,
            "repeats": [30.0 if y < 1000 else 12.0],
        }
        for x, y in GRID
    ]
    zone = {"id": "plinth", "material": "cement", "x_mm": 0, "y_mm": 0, "to_x_mm": 4000, "to_y_mm": 1000}
    references = [
        {"instrument": "pins", "material": "plaster", "value": 12.0},
        {"instrument": "pins", "material": "cement", "value": 30.0},
    ]
    assert facts_of(surface(readings, zones=[zone], dry_references=references))["wall-shape"] == "none"
    without = facts_of(surface(readings, zones=[zone], referenced=False))
    assert "wall-shape" not in without


def test_readings_of_a_voided_instrument_are_left_out(facts_of, surface, reading):
    wall = surface([reading(x, y, falling(x, y)) for x, y in GRID])
    assert facts_of(wall, voided=frozenset({("first", "pins")}))["pins-read"] == "no"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"y_mm": -200}, "below the floor"),
        ({"y_mm": 2600}, "off the surface"),
        ({"x_mm": 4200}, "off the surface"),
        ({"value": 130.0}, "above the top of the scale"),
        ({"instrument": "air"}, "no electrical moisture meter"),
        ({"instrument": "unheard-of"}, "no instrument unheard-of"),
    ],
)
def test_a_reading_that_cannot_be_is_left_out_with_a_doubt(weighed, surface, reading, instruments, more, said):
    odd = {**reading(500, 100, 1), **more}
    hygrometer = {"id": "air", "mode": "hygrometer", "scale": "relative-humidity"}
    visits = [{"id": "first", "on": "2025-01-10", "instruments": [*instruments, hygrometer]}]
    measured = weighed(surface([reading(900, 100, 1), odd]), visits=visits)
    assert len(measured.electrical.gathered.latest) == 1
    assert [doubt for doubt in measured.doubts if said in doubt]


def test_heights_that_look_like_metres_raise_a_doubt(weighed, surface, reading):
    readings = [reading(0.5, y, 1) for y in (0.05, 0.3, 0.6, 0.9)]
    assert any("millimetres" in doubt for doubt in weighed(surface(readings)).doubts)


def test_of_one_place_the_later_visit_wins(weighed, surface, reading, instruments):
    visits = [
        {"id": v, "on": day, "instruments": instruments} for v, day in (("first", "2025-01-10"), ("then", "2025-03-10"))
    ]
    readings = [
        reading(500, 100, 5, visit="first"),
        reading(500, 110, 1, visit="then"),
        reading(900, 100, 2, visit="first"),
    ]
    latest = weighed(surface(readings), visits=visits).electrical.gathered.latest
    assert [(place.x_mm, place.visit) for place in latest] == [(900.0, "first"), (500.0, "then")]


def test_a_reference_of_another_visit_makes_the_level_less_sure(weighed, surface, reading, instruments):
    visits = [
        {"id": v, "on": day, "instruments": instruments} for v, day in (("first", "2025-01-10"), ("then", "2025-03-10"))
    ]
    references = [{"instrument": "pins", "material": "plaster", "value": 12.0, "visit": "first"}]
    wall = surface([reading(500, 100, 5, visit="then")], dry_references=references)
    (excess,) = (fact for fact in weighed(wall, visits=visits).facts if fact.attribute == "pins-excess")
    assert excess.sureness.word == "fairly-sure"


def test_one_stray_press_does_not_make_a_damp_wall(facts_of, surface, reading):
    once = [{**reading(x, y, 0.0), "repeats": []} for x, y in GRID]
    once[9]["value"] = 30.0
    assert facts_of(surface(once))["pins-excess"] < 1
    once[9]["repeats"] = [30.0, 30.0]
    assert facts_of(surface(once))["pins-excess"] == pytest.approx(6.0)


def test_floors_and_partitions_are_kept_apart_from_the_wall(facts_of, surface, reading):
    wall = surface([reading(500, 100, 2)])
    floor = surface([reading(500, 100, 7)], id="floor", kind="floor")
    told = [{"attribute": "wall-position", "value": "internal", "basis": "seen"}]
    partition = surface([reading(500, 100, 4)], id="partition", facts=told)
    facts = facts_of(wall, floor, partition)
    assert facts["pins-excess"] == pytest.approx(2)
    assert facts["floor-excess"] == pytest.approx(7)
    assert facts["partition-excess"] == pytest.approx(4)


def test_the_wettest_surface_stands_for_the_area(weighed, surface, reading):
    first = surface([reading(500, 100, 2)], id="a-wall")
    second = surface([reading(500, 100, 4)], id="b-wall")
    measured = weighed(first, second)
    assert measured.electrical.principal == "b-wall"


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_the_order_of_readings_changes_nothing(weighed, surface, reading, seed):
    readings = [reading(x, y, falling(x, y), name) for x, y in GRID for name in ("pins", "plate")]
    mixed = readings.copy()
    random.Random(seed).shuffle(mixed)
    assert weighed(surface(mixed)) == weighed(surface(readings))


@settings(max_examples=20, deadline=None)
@given(factor=st.floats(0.3, 2.0))
def test_scaling_readings_and_full_scale_together_changes_nothing(facts_of, surface, factor):
    def scaled(by):
        instruments = [{"id": "plate", "mode": "capacitance", "scale": "relative", "full_scale": 100.0 * by}]
        visits = [{"id": "first", "on": "2025-01-10", "instruments": instruments}]
        readings = [
            {"x_mm": x, "y_mm": y, "instrument": "plate", "value": by * (20 + 10 * falling(x, y))} for x, y in GRID
        ]
        references = [{"instrument": "plate", "material": "plaster", "value": 20 * by}]
        return facts_of(surface(readings, dry_references=references), visits=visits)

    one, other = scaled(1.0), scaled(factor)
    assert one.keys() == other.keys()
    for name, value in one.items():
        assert other[name] == (pytest.approx(value, rel=1e-6, abs=1e-6) if isinstance(value, float) else value)


def test_an_area_without_readings_beside_it_changes_nothing(facts_of, surface, reading):
    wall = surface([reading(x, y, falling(x, y)) for x, y in GRID])
    unread = surface([], id="unread", dry_references=[])
    assert facts_of(wall, unread) == facts_of(wall)


@settings(max_examples=50, deadline=None)
@given(points=st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=1, max_size=40))
def test_things_near_a_point_are_the_ones_within_the_radius(points):
    near = Near(60.0)
    for index, (x, y) in enumerate(points):
        near.add(x, y, index)
    found = {item for _, item in near.within(10.0, -10.0)}
    expected = {i for i, (x, y) in enumerate(points) if ((x - 10.0) ** 2 + (y + 10.0) ** 2) ** 0.5 <= 60.0}
    assert found == expected


def test_the_median_ranges_are_those_of_normal_samples():
    """Order statistics of the normal distribution: the distribution of the range by integration, halved."""
    norm = pytest.importorskip("scipy.stats").norm
    quad = pytest.importorskip("scipy.integrate").quad
    for number, constant in enumerate(MEDIAN_RANGE, start=2):
        share, _ = quad(lambda z, n=number, w=constant: norm.pdf(z) * (norm.cdf(z + w) - norm.cdf(z)) ** (n - 1), -8, 8)
        assert number * share == pytest.approx(0.5, abs=5e-4)


def test_the_spread_of_presses_is_learnt_from_many_repeats(weighed, surface, parameters):
    rng = random.Random(4)
    readings = []
    for x in range(100, 3900, 100):
        values = [round(20 * (1 + rng.gauss(0, 0.04)), 3) for _ in range(3)]
        readings.append({"x_mm": x, "y_mm": 500, "instrument": "pins", "value": values[0], "repeats": values[1:]})
    places = weighed(surface(readings)).electrical.gathered.latest
    assert press_spread(places, parameters) == pytest.approx(0.05, abs=0.015)
    assert press_spread([], parameters) == parameters["press-spread"]


def test_a_dry_reference_that_stands_a_little_off_makes_no_shape(facts_of, surface):
    """Boards from 900 mm up read a little above their own reference, the plaster below a little under its own."""
    readings = [
        {
            "x_mm": x,
            "y_mm": y,
            "instrument": "pins",
            "value": 15.4 if y >= 900 else 11.0,
            "repeats": [15.4] * (y >= 900),
        }
        for x, y in GRID
    ]
    zone = {"id": "boards", "material": "board", "x_mm": 0, "y_mm": 700, "to_x_mm": 4000, "to_y_mm": 2400}
    references = [
        {"instrument": "pins", "material": "plaster", "value": 12.0},
        {"instrument": "pins", "material": "board", "value": 14.0},
    ]
    assert facts_of(surface(readings, zones=[zone], dry_references=references))["wall-shape"] == "none"


def test_a_strip_along_an_arris_is_never_called_a_streak(facts_of, surface, reading):
    arris = {
        "id": "reveal",
        "kind": "arris",
        "shape": "line",
        "x_mm": 1500,
        "y_mm": 0,
        "to_x_mm": 1500,
        "to_y_mm": 2400,
    }
    readings = [reading(x, y, 5.0 if x == 1500 else 0.0) for x, y in GRID]
    assert facts_of(surface(readings))["wall-shape"] == "streak"
    assert "wall-shape" not in facts_of(surface(readings, features=[arris]))


def test_heights_taken_by_hand_are_meant_as_one_level(facts_of, surface, reading):
    rng = random.Random(5)
    readings = [reading(x, y + rng.uniform(-20, 20), falling(x, y)) for x, y in GRID if y > 20]
    assert facts_of(surface(readings))["wall-shape"] == "base-high-falling"
