"""Pins against capacitance, and the surface against the depth."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures.meanings import ANSWERS
from engine.measures.modes import spearman
from engine.measures.shape import ShapeVerdict
from engine.measures.wall import taken_together

SPOTS = [(x, y) for x in (300, 1300, 2300) for y in (50, 400, 800, 1200)]


def both(reading, pins, plate):
    return [reading(x, y, pins(x, y), "pins") for x, y in SPOTS] + [
        reading(x, y, plate(x, y), "plate") for x, y in SPOTS
    ]


def damp(x, y):
    return 4.0 if y < 600 else 0.0


def dry(x, y):
    return 0.1


@pytest.mark.parametrize(
    ("pins", "plate", "combination"),
    [(damp, damp, "both-high"), (damp, dry, "pins-only"), (dry, damp, "capacitance-only"), (dry, dry, "both-normal")],
)
def test_the_four_combinations_are_told_from_the_raised_places(facts_of, surface, reading, pins, plate, combination):
    facts = facts_of(surface(both(reading, pins, plate)))
    assert facts["mode-agreement"] == combination
    assert facts["mode-agreement-share"] == 1


def test_an_even_split_names_no_combination(facts_of, surface, reading):
    facts = facts_of(surface(both(reading, lambda x, y: 4 if x == 300 else 0, lambda x, y: 4 if x == 1300 else 0)))
    assert "mode-agreement" not in facts


def test_the_places_where_the_modes_part_are_kept(weighed, surface, reading):
    agreement = weighed(surface(both(reading, damp, lambda x, y: damp(x, y) if x > 300 else 0))).electrical.agreement
    assert {(pair.x_mm, pair.y_mm) for pair in agreement.parting} == {(300, 50), (300, 400)}


def test_places_on_different_materials_are_not_paired(weighed, surface, reading):
    readings = [reading(500, 500, 4, "pins"), reading(500, 500, 4, "plate", material="brick")]
    assert weighed(surface(readings)).electrical.agreement is None


@pytest.mark.parametrize(
    ("skin", "core", "contrast"),
    [(0, 5, "deeper-wetter"), (3, 6, "deeper-wetter"), (4, 4, "wet-throughout"), (4, 0, "surface-only"), (0, 0, "dry")],
)
def test_deep_pins_are_set_against_the_surface_beside_them(facts_of, surface, reading, skin, core, contrast):
    readings = [reading(x, y, skin) for x, y in SPOTS]
    readings += [reading(x + 40, y, core, "deep", depth_mm=80) for x, y in SPOTS]
    facts = facts_of(surface(readings))
    assert facts["depth-contrast"] == contrast
    assert facts["deep-pins-excess"] == pytest.approx(core)


def test_ordinary_pins_driven_deep_count_as_deep(facts_of, surface, reading):
    facts = facts_of(surface([reading(500, 500, 5, "pins", depth_mm=40), reading(500, 500, 0, "pins")]))
    assert facts["deep-pins-read"] == "yes"
    assert facts["depth-contrast"] == "deeper-wetter"


@given(
    pairs=st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=5, max_size=40).filter(
        lambda p: len({a for a, _ in p}) > 1 and len({b for _, b in p}) > 1
    )
)
def test_the_rank_correlation_is_that_of_scipy(pairs):
    stats = pytest.importorskip("scipy.stats")
    first, second = [float(a) for a, _ in pairs], [float(b) for _, b in pairs]
    assert spearman(first, second) == pytest.approx(stats.spearmanr(first, second).statistic, abs=1e-9)


def test_modes_that_rise_together_correlate(facts_of, surface, reading):
    rng = random.Random(3)
    wet = {spot: rng.uniform(0, 6) for spot in SPOTS}
    facts = facts_of(surface(both(reading, lambda x, y: wet[x, y], lambda x, y: 2 * wet[x, y])))
    assert facts["mode-rank-correlation"] == pytest.approx(1)


def test_a_shape_in_one_mode_stands_where_the_other_is_normal(facts_of, surface, reading):
    spots = [(x, y) for x in (300, 1300, 2300, 3300) for y in (50, 300, 600, 900, 1200, 1700, 2200)]
    readings = [reading(x, y, max(0, 6 - y / 150), "pins") for x, y in spots] + [
        reading(x, y, 0, "plate") for x, y in spots
    ]
    facts = facts_of(surface(readings))
    assert facts["capacitance-shape"] == "none"
    assert facts["wall-shape"] == "base-high-falling"


def test_two_different_shapes_in_the_two_modes_name_none_for_the_wall(facts_of, surface, reading):
    spots = [(x, y) for x in (300, 1300, 2300, 3300) for y in (50, 300, 600, 900, 1200, 1700, 2200)]
    readings = [reading(x, y, max(0, 6 - y / 150), "pins") for x, y in spots]
    readings += [reading(x, y, 5 if y > 2000 else 2 if y > 1500 else 0, "plate") for x, y in spots]
    facts = facts_of(surface(readings))
    assert facts["pins-shape"] == "base-high-falling"
    assert facts["capacitance-shape"] == "top-down"
    assert "wall-shape" not in facts


def test_two_modes_that_each_show_a_shape_faintly_show_it_together():
    weights = dict.fromkeys(ANSWERS, 0.0) | {"streak": 0.45, "patch": 0.3, "unclear": 0.25}
    faint = ShapeVerdict(None, 0.45, tuple(weights.items()), 0.5, "no-shape-stands-out")
    shape, fit = taken_together([faint, faint], margin=0.5)
    assert shape == "streak"
    assert 0.5 < fit < 0.7
    assert taken_together([faint], margin=0.5) == (None, 0.0)
