"""Two files on one house: what differs between them, and what does not count as a difference."""

from __future__ import annotations

import json

import numpy as np
import pytest
from scipy.stats import chi2, norm

from engine.case.models import Case
from engine.challenging.comparing import compare
from engine.challenging.scatter import beyond_noise, single_limit
from engine.rulebook import load_rulebook

NUMBERS = load_rulebook().numbers
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


def second_round(values, share, seed):
    """The same places pressed again by somebody else: each press off by its own scatter."""
    dice = np.random.default_rng(seed)
    return [reading(v * (1 + share * dice.normal()), x=100 * (i + 1)) for i, v in enumerate(values)]


VALUES = [12, 14, 15, 18, 21, 24, 22, 17, 15, 13, 12, 11] * 3


def test_a_second_round_of_presses_is_no_difference_nineteen_times_in_twenty():
    rounds = [second_round(VALUES, 0.1, seed) for seed in range(200)]
    found = [
        compare(case_of(readings=one), case_of(readings=other), NUMBERS).data[0]
        for one, other in zip(rounds[::2], rounds[1::2], strict=True)
    ]
    assert sum(item.within_noise for item in found) >= 88
    assert sum(not item.apart for item in found) >= 88


def test_a_wall_that_reads_a_quarter_higher_throughout_differs_though_no_single_press_need_do():
    one = second_round(VALUES, 0.1, 1)
    other = [{**each, "value": each["value"] * 1.25} for each in second_round(VALUES, 0.05, 2)]
    [found] = compare(case_of(readings=one), case_of(readings=other), NUMBERS).data
    assert not found.within_noise


def test_the_scatter_of_presses_is_learned_from_each_file_s_own_repeats():
    def pressed(values, spread):
        return [reading(v, x=100 * (i + 1), repeats=[v * (1 + spread), v * (1 - spread)]) for i, v in enumerate(values)]

    base, risen = [12.0] * 12, [14.0] * 12
    steady = compare(case_of(readings=pressed(base, 0.01)), case_of(readings=pressed(risen, 0.01)), NUMBERS).data[0]
    unsteady = compare(case_of(readings=pressed(base, 0.3)), case_of(readings=pressed(risen, 0.3)), NUMBERS).data[0]
    assert not steady.within_noise
    assert unsteady.within_noise


def test_readings_that_only_one_inspector_took_are_a_difference_however_well_the_others_agree():
    one, other = [reading(12)], [reading(12.3), reading(12, x=900)]
    [found] = compare(case_of(readings=one), case_of(readings=other), NUMBERS).data
    assert not found.within_noise


AIR = {"temperature_c": 20, "humidity_percent": 60}
FACE = {"temperature_c": 14, "place": "corner"}
JOIST = {"id": "j1", "item": "joist", "instrument": "pins", "value": 18.0}
DUST = {"id": "s1", "x_mm": 100, "y_mm": 100, "depth_from_mm": 0, "depth_to_mm": 30, "dry_g": 10.0, "wet_g": 10.6}


@pytest.mark.parametrize(
    ("kind", "one", "other", "same"),
    [
        ("air", AIR, {"humidity_percent": 63}, True),
        ("air", AIR, {"humidity_percent": 70}, False),
        ("air", AIR, {"temperature_c": 20.8}, True),
        ("air", AIR, {"kind": "mean", "days": 7}, False),
        ("air", AIR, {"place": "hall"}, False),
        ("surface_temperatures", FACE, {"temperature_c": 14.9}, True),
        ("surface_temperatures", FACE, {"temperature_c": 17}, False),
        ("surface_temperatures", {**FACE, "tolerance_k": 4}, {"temperature_c": 17}, True),
        ("timber", JOIST, {"value": 18.4}, True),
        ("timber", JOIST, {"value": 24}, False),
        ("timber", JOIST, {"item": "wall-plate"}, False),
        ("timber", JOIST, {"temperature_c": 8}, False),
        ("samples", DUST, {"wet_g": 10.62}, True),
        ("samples", DUST, {"dry_g": 5.0, "wet_g": 5.3}, True),
        ("samples", DUST, {"wet_g": 11.6}, False),
        ("samples", DUST, {"x_mm": 900}, False),
        ("samples", DUST, {"ions": [{"name": "nitrate", "band": "high"}]}, False),
    ],
)
def test_other_measurements_differ_only_beyond_the_noise_of_their_instruments(kind, one, other, same):
    # spreads of the rule base: 2 % relative humidity, 0.5 K, 2 % of a timber reading, 0.02 g; a tolerance is two
    [found] = compare(case_of(**{kind: [one]}), case_of(**{kind: [{**one, **other}]}), NUMBERS).data
    assert (found.kind, found.counts, found.within_noise) == (kind, (1, 1), same)


@pytest.mark.parametrize("count", [1, 2, 5, 20, 96, 500])
def test_the_bounds_of_noise_are_those_of_the_normal_and_chi_square_distributions(count):
    # scipy; Wilson and Hilferty's approximation is within 3 % at its worst, one degree of freedom
    exact = chi2.ppf(0.95, count)
    assert not beyond_noise([(0.96 * exact / count) ** 0.5] * count)
    assert beyond_noise([(1.04 * exact / count) ** 0.5] * count)
    assert single_limit(count) == pytest.approx(norm.isf(0.05 / count / 2))


def test_nothing_measured_is_no_difference():
    assert not beyond_noise([])
