"""Made-up walls: reproducible, within scale, coherent with the physics of air and meters, in the stated shares."""

from __future__ import annotations

from collections import Counter
from statistics import median

import numpy as np
import psychrolib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.case import parse_case, write_case
from engine.documents import read_document
from engine.synthesis import MECHANISMS, make_wall, make_walls
from engine.synthesis.flow import Grid
from engine.synthesis.meters import Meter
from engine.synthesis.naming import SHAPES
from engine.synthesis.ranges import RANGES
from engine.synthesis.state import State

SEEDS = st.integers(0, 10_000_000)
KINDS = st.sampled_from(sorted(MECHANISMS))
WALLS = 400


@pytest.fixture(scope="module")
def walls():
    return list(make_walls(50_000, WALLS))


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, mechanism=st.none() | KINDS)
def test_the_same_seed_makes_the_same_wall(seed, mechanism):
    assert make_wall(seed, mechanism=mechanism) == make_wall(seed, mechanism=mechanism)


def test_different_seeds_make_different_walls(walls):
    assert len({wall.surface for wall in walls}) == WALLS


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, mechanism=KINDS)
def test_every_wall_is_a_case_that_the_reader_accepts(seed, mechanism, tmp_path_factory):
    case = make_wall(seed, mechanism=mechanism).case()
    document = read_document(tmp_path_factory.mktemp("walls") / "wall.yaml", text=write_case(case))
    assert parse_case(document) == case
    assert case.invented


def test_every_reading_lies_on_its_wall_and_within_its_scale(walls):
    for wall in walls:
        tops = {instrument.id: instrument.full_scale for instrument in wall.instruments}
        for one in (*wall.surface.readings, *wall.surface.dry_references):
            assert all(0 <= value <= tops[one.instrument] for value in (one.value, *one.repeats))
        for reading in wall.surface.readings:
            assert 0 <= reading.x_mm <= wall.surface.width_mm
            assert 0 <= reading.y_mm <= wall.surface.height_mm


def test_every_material_read_has_a_dry_reference_for_every_meter(walls):
    for wall in walls:
        materials = {wall.surface.material, *(zone.material for zone in wall.surface.zones)}
        given_for = {(one.instrument, one.material) for one in wall.surface.dry_references}
        assert given_for == {(meter.id, material) for meter in wall.instruments for material in materials}


def test_every_number_drawn_lies_in_its_stated_range(walls):
    for wall in walls:
        for name, value in wall.parameters.items():
            limits = RANGES.get(name.rsplit(".", 1)[-1])
            if limits is not None and not name.endswith("room-humidity"):
                # the wall's sides are rounded to whole cells
                assert limits.low - 25 * (limits.unit == "mm") <= value <= limits.high + 25 * (limits.unit == "mm"), (
                    name
                )


def test_walls_are_drawn_in_the_stated_shares(walls):
    """One in ten dry, three in ten of two mechanisms; within three standard errors."""
    dry = sum(wall.mechanisms == ("dry",) for wall in walls)
    mixed = sum(len(wall.mechanisms) == 2 for wall in walls)
    for count, share in ((dry, 0.1), (mixed, 0.3)):
        assert abs(count / WALLS - share) <= 3 * (share * (1 - share) / WALLS) ** 0.5
    single = Counter(wall.mechanisms[0] for wall in walls if len(wall.mechanisms) == 1)
    assert set(single) == set(MECHANISMS)


def test_a_fifth_of_the_places_is_left_out_and_columns_have_four_to_eight_heights(walls):
    heights = [wall.parameters["heights"] for wall in walls]
    assert set(heights) <= {4.0, 5.0, 6.0, 7.0, 8.0}
    kept = []
    for wall in walls:
        mode = wall.instruments[0].id
        rows = Counter(round(r.x_mm / 60) for r in wall.surface.readings if r.instrument == mode)
        assert max(rows.values()) <= 16
        kept.append(sum(rows.values()) / max(1, len(rows)) / (wall.parameters["heights"]))
    assert 0.6 < median(kept) < 1.0


def test_the_surface_humidity_drawn_is_the_one_that_psychrolib_gives():
    """Room air, temperature factor and surface temperature agree within 1 % humidity (psychrolib: ASHRAE 2017)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    for seed in range(60):
        drawn = make_wall(seed, mechanism="surface-condensation", mixed=False).parameters
        room, outside, factor, air, wanted = (
            drawn[f"surface-condensation.{name}"]
            for name in ("room-temperature", "outside-temperature", "surface-factor", "room-humidity", "plain-humidity")
        )
        surface = room - (1 - factor) * (room - outside)
        pressure = psychrolib.GetVapPresFromRelHum(room, air / 100)
        assert 100 * pressure / psychrolib.GetSatVapPres(surface) == pytest.approx(wanted, abs=1)
        assert psychrolib.GetTDewPointFromRelHum(room, air / 100) <= surface + 0.1


def test_a_film_is_seen_by_pins_and_hardly_by_capacitance_and_water_by_both():
    for mechanism, least, most in (("surface-condensation", 0.0, 0.5), ("drying-out", 0.5, 3.0)):
        ratios = []
        for seed in range(40):
            wall = make_wall(seed, mechanism=mechanism, mixed=False)
            if len(wall.instruments) == 2 and not wall.surface.zones:
                ratios.append(excess(wall, "capacitance") / excess(wall, "pins"))
        assert least <= median(ratios) <= most


def excess(wall, mode: str) -> float:
    """Median excess over the dry reference, in multiples of 3 points or a tenth of full scale."""
    (meter,) = (one for one in wall.instruments if one.id == mode)
    dry = median(
        value for one in wall.surface.dry_references if one.instrument == mode for value in (one.value, *one.repeats)
    )
    level = median(one.value for one in wall.surface.readings if one.instrument == mode)
    return (level - dry) / (3.0 if mode == "pins" else meter.full_scale / 10)


def test_presses_scatter_by_a_tenth_of_the_excess_and_the_floor():
    meter = plain_meter("pins", top=1000.0)
    presses = np.asarray(meter.press(np.random.default_rng(1), 200.0, 100.0, 4000))
    assert presses.mean() == pytest.approx(200, abs=1)
    assert presses.std() == pytest.approx(0.1 * 100 + meter.floor, rel=0.05)


@settings(max_examples=40)
@given(skin=st.floats(0, 1), inside=st.floats(0, 1), times=st.sampled_from([2.0, 10.0]))
def test_a_scale_of_ten_times_the_top_reads_ten_times_as_much(skin, inside, times):
    state, x = state_of(skin, inside), np.asarray([100.0])
    small, large = (plain_meter("capacitance", top=100.0 * factor) for factor in (1.0, times))
    touches = np.zeros(1)
    assert large.excess(state, x, x, touches) == pytest.approx(times * small.excess(state, x, x, touches))


@settings(max_examples=60)
@given(
    skin=st.floats(0, 1), inside=st.floats(0, 1), more=st.floats(0, 1), mode=st.sampled_from(["pins", "capacitance"])
)
def test_no_meter_falls_when_the_wall_gets_wetter_and_none_passes_saturation(skin, inside, more, mode):
    meter, x, touches = plain_meter(mode, top=100.0), np.asarray([100.0]), np.zeros(1)
    before = meter.excess(state_of(skin, inside), x, x, touches)[0]
    after = meter.excess(state_of(max(skin, more), max(inside, more)), x, x, touches)[0]
    assert -1e-9 <= before <= after + 1e-9 <= meter.span + 1e-6


def plain_meter(mode: str, top: float) -> Meter:
    return Meter(mode, mode, top, top / 1000, top / 10, top / 2, 1.5, 12.0, top / 50, top / 50, 0.05, {"plaster": 1.0})


def state_of(skin: float, inside: float) -> State:
    grid = Grid(200, 200)
    shape = (len(grid.y), len(grid.x))
    dry = np.zeros(shape)
    return State(grid, np.full(shape, skin), np.full(shape, inside), dry, dry, ())


def test_metal_is_felt_within_a_finger_of_the_arris_only():
    for seed in range(20):
        wall = make_wall(seed, mechanism="metal-bead", mixed=False)
        (arris,) = (feature for feature in wall.surface.features if feature.kind == "arris")
        far = [r for r in wall.surface.readings if abs(r.x_mm - arris.x_mm) > 100]
        on = [r for r in wall.surface.readings if abs(r.x_mm - arris.x_mm) <= 5]
        for meter in wall.instruments:
            off_it = [r.value for r in far if r.instrument == meter.id]
            on_it = [r.value for r in on if r.instrument == meter.id]
            if off_it and len(on_it) >= 3 and not wall.surface.zones:
                assert median(on_it) > max(off_it)


def test_every_mechanism_has_a_shape_or_a_reason_and_truth_is_among_the_allowed_names(walls):
    assert set(SHAPES) == set(MECHANISMS)
    for wall in walls:
        assert wall.nameable is None or wall.nameable in wall.allowed
        if len(wall.mechanisms) == 1 and wall.nameable is not None:
            assert wall.nameable in {*wall.shapes, "none"}


@pytest.mark.parametrize(
    ("wishes", "message"),
    [
        ({"mechanism": "rising"}, "found 'rising'; allowed: capillary-rise"),
        ({"mechanism": "dry", "mixed": True}, "never mixed"),
    ],
)
def test_wishes_that_cannot_be_met_are_refused_with_what_is_allowed(wishes, message):
    with pytest.raises(ValueError, match=message):
        make_wall(1, **wishes)


def test_a_wish_for_two_mechanisms_gives_two_different_ones():
    for seed in range(40):
        names = make_wall(seed, mixed=True).mechanisms
        assert len(set(names)) == 2
        assert len(make_wall(seed, mechanism="driven-rain", mixed=False).mechanisms) == 1
