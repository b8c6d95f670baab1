"""Two files on one house: what differs between them, and what does not count as a difference."""

from __future__ import annotations

import json

import pytest

from engine.case.comparing import compare
from engine.case.models import Case

NUMBERS = {"press-spread": 0.1, "same-place-radius": 25.0}
PINS = {"id": "pins", "mode": "pins", "scale": "wood-percent"}


def case_of(visit="first", on="2026-01-10", dwelling=(), facts=(), readings=(), surface="wall", area="room", **parts):
    instruments = parts.pop("instruments", [PINS])
    wall = {
        "id": surface,
        "kind": "wall",
        "width_mm": 4000,
        "height_mm": 2400,
        "material": "brick",
        "readings": list(readings),
    }
    return Case.model_validate_json(
        json.dumps(
            {
                "format": 1,
                "id": "made-up",
                "title": "Made up",
                "dwelling": {"title": "House", "facts": list(dwelling)},
                "visits": [{"id": visit, "on": on, "instruments": instruments}, *parts.pop("visits", [])],
                "areas": [{"id": area, "title": "Room", "facts": list(facts), "surfaces": [wall], **parts}],
            }
        )
    )


def fact(attribute, value, basis="seen", **parts):
    return {"attribute": attribute, "value": value, "basis": basis, **parts}


def reading(value, x=100, y=100, **parts):
    return {"x_mm": x, "y_mm": y, "instrument": "pins", "value": value, **parts}


def kinds(differences):
    return {difference.attribute: difference.kind for difference in differences.facts}


def test_a_file_does_not_differ_from_itself_nor_from_itself_by_another_inspector_on_another_day():
    made = {"facts": [fact("tide-line-seen", "yes")], "readings": [reading(12)]}
    one, other = case_of(**made), case_of(visit="second", on="2026-02-01", **made)
    differences = compare(one, other, NUMBERS)
    assert (differences.facts, differences.data, differences.unpaired) == ((), (), ())


def test_values_bases_and_what_only_one_records_are_told_apart():
    one = case_of(facts=[fact("tide-line-seen", "yes"), fact("salt-bloom-seen", "no"), fact("storey", "ground-floor")])
    other = case_of(
        facts=[fact("tide-line-seen", "no"), fact("salt-bloom-seen", "no", "told"), fact("musty-smell-noticed", "yes")]
    )
    assert kinds(compare(one, other, NUMBERS)) == {
        "tide-line-seen": "value",
        "salt-bloom-seen": "basis",
        "storey": "only-first",
        "musty-smell-noticed": "only-second",
    }


def test_unknown_is_as_good_as_unsaid_and_not_inspected_is_an_answer():
    one = case_of(facts=[fact("tide-line-seen", "unknown"), fact("salt-bloom-seen", "not-inspected")])
    assert kinds(compare(one, case_of(), NUMBERS)) == {"salt-bloom-seen": "only-first"}


def test_of_several_visits_the_latest_answer_is_compared():
    later = {"id": "later", "on": "2026-03-01"}
    said = [fact("tide-line-seen", "no", visit="later"), fact("tide-line-seen", "yes", visit="first")]
    one = case_of(facts=said, visits=[later])
    assert not compare(one, case_of(facts=[fact("tide-line-seen", "no")]), NUMBERS).facts


def test_places_with_other_names_are_the_same_where_only_one_is_left_on_each_side():
    one, other = case_of(readings=[reading(12)]), case_of(surface="north-wall", area="bedroom", readings=[reading(12)])
    differences = compare(one, other, NUMBERS)
    assert differences.areas == (("room", "bedroom"),)
    assert (differences.data, differences.unpaired) == ((), ())


def test_an_area_in_one_file_only_is_named():
    extra = {"id": "loft", "title": "Loft"}
    one = case_of()
    both = Case.model_validate_json(json.dumps({**json.loads(one.model_dump_json()), "areas": [
        *json.loads(one.model_dump_json())["areas"], extra,
    ]}))  # fmt: skip
    assert compare(one, both, NUMBERS).unpaired == (("Loft", "second"),)
    assert compare(both, one, NUMBERS).unpaired == (("Loft", "first"),)


@pytest.mark.parametrize(("second", "apart"), [(12.5, 0), (14, 0), (18, 1), (30, 1)])
def test_readings_differ_only_beyond_what_presses_scatter(second, apart):
    # a single press scatters by a tenth of its value here, so two of them near 12 differ beyond 2 * 12 * 0.1 * sqrt(2)
    [found] = compare(case_of(readings=[reading(12)]), case_of(readings=[reading(second)]), NUMBERS).data
    assert (found.compared, len(found.apart)) == (1, apart)


def test_the_scatter_shrinks_with_repeats_and_grows_with_the_tolerance_of_the_instrument():
    often = [reading(12, repeats=[12.0] * 8)], [reading(15, repeats=[15.0] * 8)]
    exact = compare(case_of(readings=often[0]), case_of(readings=often[1]), NUMBERS).data[0]
    coarse = [{**PINS, "tolerance": 4}]
    loose = compare(
        case_of(readings=often[0], instruments=coarse), case_of(readings=often[1], instruments=coarse), NUMBERS
    ).data[0]
    assert len(exact.apart) == 1
    assert not loose.apart


@pytest.mark.parametrize(
    ("moved", "instruments"),
    [
        ({"x": 200}, [PINS]),
        ({"depth_mm": 50}, [PINS]),
        ({}, [{"id": "pins", "mode": "pins", "scale": "relative", "full_scale": 100}]),
        ({}, [{"id": "pins", "mode": "capacitance", "scale": "wood-percent"}]),
    ],
)
def test_readings_elsewhere_or_on_another_scale_are_not_set_against_each_other(moved, instruments):
    one = case_of(readings=[reading(12)])
    other = case_of(readings=[reading(40, **moved)], instruments=instruments)
    [found] = compare(one, other, NUMBERS).data
    assert (found.counts, found.compared, found.apart) == ((1, 1), 0, ())


def test_other_measured_data_are_compared_as_a_whole():
    air = {"temperature_c": 20, "humidity_percent": 60}
    differences = compare(case_of(air=[air]), case_of(air=[{**air, "humidity_percent": 70}]), NUMBERS)
    assert [(item.kind, item.counts) for item in differences.data] == [("air", (1, 1))]
