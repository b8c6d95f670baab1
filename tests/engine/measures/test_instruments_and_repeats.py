"""What is known of an instrument before its readings are used, and whether its presses repeat."""

from __future__ import annotations

import pytest

from engine.measures import instrument_facts


def facts(case, index=0, visit=0):
    one = case.visits[visit]
    return {fact.attribute: fact.value for fact in instrument_facts(case, one, one.instruments[index])}


@pytest.fixture
def checked(area_case, surface):
    def made(results, readings=()):
        checks = [{"expected": 18.0, "tolerance": 1.0, "result": result} for result in results]
        instruments = [
            {"id": "pins", "mode": "pins", "scale": "wood-percent", "checks": checks},
            {"id": "plate", "mode": "capacitance", "scale": "relative", "full_scale": 200.0},
        ]
        visits = [{"id": "first", "on": "2025-01-10", "instruments": instruments}]
        return area_case(visits=visits, surfaces=[surface(list(readings), dry_references=[])])[0]

    return made


@pytest.mark.parametrize(
    ("results", "verdict"), [((18.4,), "passed"), ((18.0, 20.0), "failed"), ((16.9,), "failed"), ((), None)]
)
def test_a_check_outside_its_tolerance_fails_and_no_check_is_unknown(checked, results, verdict):
    assert facts(checked(results)).get("instrument-reference-check") == verdict


def test_spread_and_count_of_presses_are_on_the_instruments_own_scale(checked):
    readings = [
        {"x_mm": 500, "y_mm": 100, "instrument": "plate", "value": 50.0, "repeats": [54.0, 46.0]},
        {"x_mm": 900, "y_mm": 100, "instrument": "plate", "value": 50.0, "repeats": [50.0, 62.0]},
        {"x_mm": 900, "y_mm": 500, "instrument": "plate", "value": 50.0},
    ]
    found = facts(checked((), readings), index=1)
    assert found["instrument-reading-count"] == 3
    assert found["instrument-repeat-spread"] == pytest.approx((2 + 6) / 2)
    assert found["instrument-mode"] == "capacitance"


@pytest.mark.parametrize(("apart", "verdict"), [(1.0, "yes"), (8.0, "no")])
def test_repeats_agree_or_do_not(facts_of, surface, apart, verdict):
    readings = [
        {"x_mm": x, "y_mm": 100, "instrument": "pins", "value": 14.0, "repeats": [14.0 + apart, 14.0 - apart]}
        for x in (300, 900, 1500, 2100)
    ]
    assert facts_of(surface(readings))["repeats-agree"] == verdict


def test_two_repeated_places_are_too_few_to_say(facts_of, surface):
    readings = [{"x_mm": x, "y_mm": 100, "instrument": "pins", "value": 14.0, "repeats": [14.0]} for x in (300, 900)]
    assert "repeats-agree" not in facts_of(surface(readings))


def test_a_reference_check_must_be_made_on_every_instrument_used(facts_of, surface, reading, instruments):
    check = [{"expected": 18.0, "tolerance": 1.0, "result": 18.0}]
    one, other = {**instruments[0], "checks": check}, instruments[2]
    wall = surface([reading(500, 100, 1, "pins"), reading(500, 100, 1, "plate")])

    def made(*listed):
        return facts_of(wall, visits=[{"id": "first", "on": "2025-01-10", "instruments": list(listed)}])

    assert made(one, other)["reference-check-made"] == "no"
    assert made(one, {**other, "checks": check})["reference-check-made"] == "yes"
