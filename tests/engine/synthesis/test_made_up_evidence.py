"""Parts of made-up cases against physics: what deep pins and samples show of water, skins, films and salts; airs; logs.

Moist air is reckoned by psychrolib (ASHRAE Handbook, Fundamentals, 2017). What a mechanism does to skin, core and
samples is common practice, no source.
"""

from __future__ import annotations

from itertools import islice

import numpy as np
import psychrolib
import pytest

from engine import load_rulebook
from engine.synthesis.cases import maker_of
from engine.synthesis.climates import ALL_OVER, IN_THE_CORNER, climates
from engine.synthesis.fields import check_of, read_wall
from engine.synthesis.meters import draw_meters
from engine.synthesis.ranges import Draw
from engine.synthesis.series import logged_climate
from engine.synthesis.walls import building_of

RAISED = 3.0
"""Points on a wood scale over a dry reference that count as raised."""


@pytest.fixture(autouse=True)
def metric_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.fixture(scope="module")
def maker():
    return maker_of(load_rulebook())


def wall(seed, *fields):
    draw = Draw(np.random.default_rng(seed))
    building, rise_mm = building_of(draw)
    return read_wall(draw, building, rise_mm, fields, "a wall", deep=True)


def excesses(read, mode):
    (reference,) = [one.value for one in read.surface.dry_references if one.instrument == mode]
    return [one.value - reference for one in read.surface.readings if one.instrument == mode]


@pytest.mark.parametrize("seed", range(5))
def test_deep_pins_see_neither_film_nor_salts(seed):
    for field in ("surface-condensation", "salts-in-a-patch"):
        read = wall(seed, field)
        assert max(excesses(read, "pins")) > RAISED
        assert max(excesses(read, "deep-pins")) < RAISED


@pytest.mark.parametrize("seed", range(5))
def test_water_behind_a_dry_skin_is_seen_by_the_field_and_not_by_surface_pins(seed):
    read = wall(seed, "wet-behind-dry-skin")
    assert max(excesses(read, "pins")) < RAISED
    assert max(excesses(read, "capacitance")) > 10
    assert max(excesses(read, "deep-pins")) > RAISED


@pytest.mark.parametrize("seed", range(5))
def test_water_through_a_retained_wall_wets_it_as_high_as_the_ground_and_little_higher(seed):
    read = wall(seed, "ground-water-through-wall")
    wet = read.state.inside.max(axis=1)
    heights = read.building.grid.y
    assert wet[0] > 0.9
    assert wet[heights > 0.9 * read.building.grid.height_mm].max() < 0.5


@pytest.mark.parametrize("seed", range(5))
def test_a_slab_damps_no_more_than_the_foot_of_the_wall(seed):
    read = wall(seed, "wall-foot")
    assert read.state.inside[read.building.grid.y > 400].max() == 0
    assert 0 < read.state.inside[0].max() <= 0.6


def test_a_check_of_a_meter_passes_or_fails_as_wished():
    draw = Draw(np.random.default_rng(1))
    for meter in draw_meters(draw, ("plaster",), carried="both"):
        for _ in range(20):
            assert check_of(draw, meter, fails=False).passed
            assert not check_of(draw, meter, fails=True).passed


def humidity_at(climate, celsius):
    pressure = psychrolib.GetVapPresFromRelHum(climate.room_c, climate.room_percent / 100)
    return 100 * pressure / psychrolib.GetSatVapPres(celsius)


@pytest.mark.parametrize("fields", [(), (ALL_OVER,), (IN_THE_CORNER,), (ALL_OVER, IN_THE_CORNER)])
def test_air_makes_a_film_where_there_is_one_and_none_where_there_is_none(fields):
    for climate in islice(climates(Draw(np.random.default_rng(2)), frozenset(fields), True), 60):
        coldest = humidity_at(climate, climate.coldest_c)
        if ALL_OVER in fields:
            assert humidity_at(climate, climate.plain_c) >= 88
        elif IN_THE_CORNER in fields:
            assert coldest >= 94
            assert humidity_at(climate, climate.plain_c) <= 80
        else:
            assert coldest <= 91


def test_logs_keep_to_the_climate_of_the_visit():
    draw = Draw(np.random.default_rng(3))
    for climate in islice(climates(draw, frozenset(), True), 10):
        series = logged_climate(draw, climate)
        room, outside, surface = (series[kind]["temperature"] for kind in ("room-air", "outside-air", "surface"))
        assert room.mean() == pytest.approx(climate.room_c, abs=0.2)
        assert outside.mean() == pytest.approx(climate.outside_c, abs=0.2)
        assert np.all((surface >= np.minimum(outside, room) - 1e-9) & (surface <= np.maximum(outside, room) + 1e-9))
        for name in ("room-air", "outside-air"):
            assert np.all((series[name]["humidity"] > 0) & (series[name]["humidity"] <= 100))


@pytest.mark.parametrize("cause", ["ground-rise", "residual-salts"])
def test_samples_hold_free_water_only_where_the_wall_does(maker, cause):
    found = []
    for seed in range(40):
        made = maker.make((seed, 9), causes=frozenset({cause}))
        lowest = next((one for one in made.area.samples if one.y_mm <= 300), None)
        if lowest is not None:
            found.append(lowest.wet_g > lowest.conditioned_g)
    assert len(found) >= 10
    share = sum(found) / len(found)  # the lowest sample lies over the front of the weakest rises
    assert share >= 0.85 if cause == "ground-rise" else share == 0
