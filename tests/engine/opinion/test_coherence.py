"""Whether the worked cases could be real: air, surfaces, samples, timber and readings agree with physics and the truth.

Moist air is reckoned by psychrolib (ASHRAE Handbook, Fundamentals, 2017), not by the engine. What a mechanism does to
the two meter modes is common practice, no source. The limits are wide: they catch a slip of the pen, not a fine point.
"""

from __future__ import annotations

from statistics import median

import psychrolib
import pytest

WOOD_RAISED, RELATIVE_RAISED = 3.0, 0.10
"""Smallest excess over a dry reference that counts as raised: points of a wood scale, share of a relative scale."""
WETTING_IN_DEPTH = {
    "ground-rise",
    "bridged-dpc",
    "below-ground-lateral",
    "rain-through-wall",
    "rainwater-goods",
    "supply-or-heating-leak",
    "waste-or-seal-leak",
}
ONLY_THE_SKIN = {"humid-air-condensation", "cold-spot-condensation"}
HELD_BY_SALTS = {"residual-salts", "flue-salts"}
SEASONS = {12: "winter", 1: "winter", 2: "winter", 3: "spring", 4: "spring", 5: "spring"}
SEASONS |= {6: "summer", 7: "summer", 8: "summer", 9: "autumn", 10: "autumn", 11: "autumn"}


@pytest.fixture
def case(casebook, case_name):
    return casebook[case_name]


@pytest.fixture(autouse=True)
def metric_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


def visit_named(case, name, instrument=None):
    """The visit by its id; without one, the last visit (on which the instrument was used)."""
    visits = sorted(case.visits, key=lambda visit: visit.on)
    used = [v for v in visits if instrument is None or any(i.id == instrument for i in v.instruments)]
    return next((v for v in visits if v.id == name), used[-1] if used else visits[-1])


def climates(case):
    """Each area's spot air readings with the visit they were taken on."""
    for area in case.areas:
        for air in area.air:
            if air.kind == "spot":
                yield area, air, visit_named(case, air.visit, air.instrument)


def vapour_pressure(celsius, percent):
    return psychrolib.GetVapPresFromRelHum(celsius, percent / 100)


def instruments_of(case):
    return {(visit.id, one.id): one for visit in case.visits for one in visit.instruments}


def excesses(case, area):
    """(surface, x, y, depth, visit, mode) → excess in multiples of the smallest that counts as raised."""
    listed = instruments_of(case)
    references = [
        (ref, visit_named(case, ref.visit, ref.instrument).id) for s in area.surfaces for ref in s.dry_references
    ]
    found = {}
    for surface in area.surfaces:
        for reading in surface.readings:
            visit = visit_named(case, reading.visit, reading.instrument).id
            instrument = listed[visit, reading.instrument]
            material = reading.material or material_at(surface, reading.x_mm, reading.y_mm)
            dry = [
                value
                for ref, taken_on in references
                if (ref.instrument, ref.material, taken_on) == (reading.instrument, material, visit)
                for value in (ref.value, *ref.repeats)
            ]
            if dry:
                step = WOOD_RAISED if instrument.scale == "wood-percent" else RELATIVE_RAISED * instrument.full_scale
                value = median((reading.value, *reading.repeats))
                place = (surface.id, reading.x_mm, reading.y_mm, visit, instrument.mode)
                found[place] = (value - median(dry)) / step
    return found


def material_at(surface, x_mm, y_mm):
    for zone in surface.zones:
        if zone.x_mm <= x_mm <= zone.to_x_mm and zone.y_mm <= y_mm <= zone.to_y_mm:
            return zone.material
    return surface.material


def paired(found, first, second, reach_mm=60):
    """Excesses of two modes at the same places (deep pins within a hand of the surface pins)."""
    for (surface, x, y, visit, mode), excess in found.items():
        if mode != first:
            continue
        for (other, ox, oy, seen, name), also in found.items():
            if (other, seen, name) == (surface, visit, second) and abs(ox - x) <= reach_mm and abs(oy - y) <= reach_mm:
                yield excess, also


def keyed(case):
    areas = {area.id: area for area in case.areas}
    return [(key, areas[key.area]) for key in case.key.areas]


def test_it_says_that_it_is_invented_and_names_no_place(case):
    assert case.invented
    assert case.dwelling.address is None
    assert case.dwelling.title.startswith("invented")


def test_the_season_told_is_that_of_the_date(case):
    for visit in case.visits:
        told = {fact.value for fact in visit.facts if fact.attribute == "season"}
        assert told == {SEASONS[visit.on.month]}


def test_no_surface_is_colder_than_outside_or_warmer_than_the_room(case):
    """In the heating season; in summer heavy walls and floors lag behind the air by a few kelvin."""
    for area, air, visit in climates(case):
        for surface in area.surface_temperatures:
            if visit_named(case, surface.visit, surface.instrument).id == visit.id and visit.outside:
                heated = air.temperature_c - visit.outside.temperature_c >= 5
                span = sorted([visit.outside.temperature_c, air.temperature_c])
                lag = 0.5 if heated else 4.0
                assert span[0] - lag <= surface.temperature_c <= span[1] + 0.5


def test_a_lived_in_room_holds_at_least_about_the_vapour_of_the_air_outside(case):
    for _, air, visit in climates(case):
        if visit.outside and visit.outside.humidity_percent:
            outside = vapour_pressure(visit.outside.temperature_c, visit.outside.humidity_percent)
            inside = vapour_pressure(air.temperature_c, air.humidity_percent)
            assert 0.93 * outside <= inside <= outside + 1400


def test_no_surface_lies_far_below_the_dew_point_of_its_room(case):
    for area, air, visit in climates(case):
        dew_point = psychrolib.GetTDewPointFromRelHum(air.temperature_c, air.humidity_percent / 100)
        for surface in area.surface_temperatures:
            if visit_named(case, surface.visit, surface.instrument).id == visit.id:
                assert surface.temperature_c >= dew_point - 2, (
                    "the air could not stay so humid beside so cold a surface"
                )


def test_samples_hold_no_more_water_than_their_pores(case):
    for area in case.areas:
        for sample in area.samples:
            if sample.dry_g and sample.wet_g:
                assert sample.wet_g / sample.dry_g - 1 <= 0.25
            if sample.dry_g and sample.conditioned_g:
                assert sample.conditioned_g / sample.dry_g - 1 <= 0.15


def test_timber_is_no_colder_than_outside_nor_warmer_than_the_room(case):
    for area in case.areas:
        for reading in area.timber:
            visit = visit_named(case, reading.visit, reading.instrument)
            airs = [air.temperature_c for _, air, taken in climates(case) if taken.id == visit.id]
            if reading.temperature_c is not None and visit.outside and airs:
                span = sorted([visit.outside.temperature_c, max(airs)])
                assert span[0] - 3 <= reading.temperature_c <= span[1] + 1


def test_presses_at_one_place_scatter_as_presses_do(case):
    if any(key.truth == ("technique-or-instrument-fault",) for key in case.key.areas):
        pytest.skip("a faulty instrument scatters as it likes")
    for area in case.areas:
        for surface in area.surfaces:
            for reading in surface.readings:
                presses = (reading.value, *reading.repeats)
                assert max(presses) - min(presses) <= max(3, 0.25 * max(presses))


def test_both_modes_are_read_or_the_case_says_that_one_was_not(case):
    for area in case.areas:
        modes = {mode for *_, mode in excesses(case, area)}
        if len(modes & {"pins", "capacitance"}) == 1:
            assert any("meter" in item.what or "capacitance" in item.what for item in area.not_inspected)


def test_the_modes_read_as_the_truth_would_make_them(case):
    for key, area in keyed(case):
        found, truth = excesses(case, area), set(key.truth)
        pairs = list(paired(found, "pins", "capacitance"))
        if not pairs:
            continue
        highest_pins = max(pairs)
        if truth and truth <= ONLY_THE_SKIN | HELD_BY_SALTS:
            assert highest_pins[1] < 0.5 * max(highest_pins[0], 1), "a film and salts raise pins far more"
        if truth and truth <= ONLY_THE_SKIN:
            assert all(deep < 1 for _, deep in paired(found, "pins", "deep-pins"))
        if truth <= HELD_BY_SALTS and truth:
            assert all(deep < 1.5 for _, deep in paired(found, "pins", "deep-pins"))
        if truth and truth <= WETTING_IN_DEPTH and max(highest_pins) >= 1:
            assert highest_pins[1] >= 1, "water in depth raises both"
        if not truth:
            assert all(min(pair) < 1 for pair in pairs), "a dry wall is raised in one mode at most"
