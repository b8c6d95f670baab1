"""Extent and profile worked by hand: where a piece of wall begins and ends, what lies exactly on a limit, and ties."""

from __future__ import annotations

import math

import pytest

HEIGHTS = (200, 700, 1200)
COLUMNS = (500, 1500, 2500)


@pytest.fixture
def seen(weighed, surface, reading):
    """The pin readings of a wall with these excesses {(x, y): excess}, normal elsewhere on the grid."""

    def made(excesses, xs=COLUMNS, ys=HEIGHTS, **more):
        readings = [reading(x, y, excesses.get((x, y), 0.0)) for x in xs for y in ys]
        return weighed(surface(readings, **more)).electrical.of("wall", "pins")

    return made


def test_one_raised_place_is_the_wall_halfway_to_its_neighbours_and_all_its_edges_are_in_doubt(seen):
    # by hand: 1000 mm wide, 500 mm tall; up and down 250 mm each over 1000 mm, left and right 500 mm each over 500 mm
    area = seen({(1500, 700): 3.0}).area
    assert area.area_mm2 == pytest.approx(1000 * 500)
    assert area.bound_mm2 == pytest.approx(2 * 1000 * 250 + 2 * 500 * 500)
    assert (area.centre_x_mm, area.centre_y_mm) == (1500, 700)


def test_a_raised_corner_reaches_the_edge_of_the_wall_and_is_in_doubt_on_two_sides_only(seen):
    # by hand: from the left edge to 1000 mm, from the floor to 450 mm
    area = seen({(500, 200): 2.0}).area
    assert area.area_mm2 == pytest.approx(1000 * 450)
    assert area.bound_mm2 == pytest.approx(1000 * 250 + 450 * 500)


def test_the_last_column_and_the_top_place_reach_outward_by_half_a_step(seen):
    # by hand: 2000 to 3000 mm across, 950 to 1450 mm up, though the wall goes on
    area = seen({(2500, 1200): 2.0}).area
    assert area.area_mm2 == pytest.approx(1000 * 500)
    assert area.bound_mm2 == pytest.approx(1000 * 250 + 500 * 500)


def test_the_centre_of_the_damp_lies_nearer_to_the_wetter_piece(seen):
    # by hand: 1000 x 450 mm at excess 4 and 1000 x 500 mm at excess 2
    area = seen({(500, 200): 4.0, (500, 700): 2.0}).area
    low, high = 1000 * 450 * 4.0, 1000 * 500 * 2.0
    assert area.centre_y_mm == pytest.approx((low * 200 + high * 700) / (low + high))
    assert area.centre_x_mm == pytest.approx(500)
    # right of the two, over their heights of 450 and 500 mm, the edge may lie 500 mm further; above, 250 mm
    assert area.bound_mm2 == pytest.approx(450 * 500 + 500 * 500 + 1000 * 250)


def test_two_raised_columns_side_by_side_have_no_edge_between_them(seen):
    area = seen({(x, y): 2.0 for x in (500, 1500) for y in HEIGHTS}).area
    assert area.area_mm2 == pytest.approx(2000 * 1450)
    assert area.bound_mm2 == pytest.approx(1450 * 500)
    assert area.centre_x_mm == pytest.approx(1000)


@pytest.mark.parametrize(("excess", "pieces"), [(1.0, 1), (0.99, 0)])
def test_exactly_the_smallest_rise_counts_as_raised(seen, excess, pieces):
    assert seen({(1500, 700): excess}).area.area_mm2 == pytest.approx(pieces * 1000 * 500)


def test_a_dry_wall_has_no_area_and_no_doubt_about_it(seen):
    area = seen({}).area
    assert (area.area_mm2, area.bound_mm2, area.centre_x_mm, area.centre_y_mm) == (0, 0, 0, 0)


def test_one_column_has_no_area(seen):
    assert seen({(500, 200): 3.0}, xs=(500,)).area is None


def test_columns_of_one_height_have_no_area_but_two_heights_are_enough(seen):
    assert seen({(500, 200): 3.0}, ys=(200,)).area is None
    # by hand: two heights 500 mm apart, so 450 mm from the floor
    assert seen({(500, 200): 3.0}, ys=(200, 700)).area.area_mm2 == pytest.approx(1000 * 450)


RUN = (300, 700, 2000, 3300)


def test_a_run_at_the_foot_ends_halfway_to_the_normal_columns_and_may_be_out_by_as_much(seen):
    run = seen({(700, 200): 2.0}, xs=RUN).run
    assert (run.start_mm, run.stop_mm) == (500, 1350)
    assert (run.start_bound_mm, run.stop_bound_mm) == (200, 650)
    assert run.length_mm == 850


def test_a_run_that_reaches_the_last_column_has_no_bound_there(seen):
    first, last = seen({(300, 200): 2.0}, xs=RUN).run, seen({(3300, 200): 2.0}, xs=RUN).run
    assert (first.start_mm, first.start_bound_mm, first.stop_bound_mm) == (0, None, 200)
    assert (last.start_bound_mm, last.stop_bound_mm) == (650, None)
    assert last.stop_mm == 3950  # half the usual step of 1300 mm beyond the last column


def test_the_longest_run_counts_and_of_equal_ones_the_first(seen):
    xs = (500, 1500, 2500, 3500)
    longest = seen({(x, 200): 2.0 for x in (500, 2500, 3500)}, xs=xs).run
    assert (longest.start_mm, longest.stop_mm) == (2000, 4000)
    equal = seen({(x, 200): 2.0 for x in (500, 2500)}, xs=xs).run
    assert (equal.start_mm, equal.stop_mm) == (0, 1000)


def test_a_foot_read_exactly_at_the_limit_counts_and_one_above_it_does_not(seen, parameters):
    limit = parameters["wall-base-height"]
    assert seen({(500, limit): 2.0}, ys=(limit, limit + 400)).run is not None
    assert seen({(500, limit + 1): 2.0}, ys=(limit + 1, limit + 400)).run is None


def test_what_is_raised_above_a_dry_foot_is_no_run(seen):
    assert seen({(x, 700): 3.0 for x in COLUMNS}).run is None


def test_a_single_foot_is_no_run(seen):
    assert seen({(500, 200): 3.0}, xs=(500,)).run is None


def line(kind, x, y, to_x, to_y):
    return {"id": kind, "kind": kind, "shape": "line", "x_mm": x, "y_mm": y, "to_x_mm": to_x, "to_y_mm": to_y}


@pytest.mark.parametrize(
    ("ends", "x", "height"),
    [
        ((1000, 100, 3000, 500), 1500, 1200 - 200),
        ((3000, 500, 1000, 100), 1500, 1200 - 200),
        ((1000, 100, 3000, 500), 500, 1200 - 100),
        ((1000, 100, 2000, 500), 2500, 1200 - 500),
        ((1500, 300, 1500, 900), 1500, 1200 - 300),
    ],
)
def test_the_outside_ground_is_taken_beside_the_damp_place_along_a_sloping_line(
    facts_of, surface, reading, ends, x, height
):
    readings = [reading(each, y, 3.0 if (each, y) == (x, 1200) else 0.0) for each in COLUMNS for y in HEIGHTS]
    facts = facts_of(surface(readings, features=[line("outside-ground-line", *ends)]))
    assert facts["damp-top-above-outside-ground-mm"] == pytest.approx(height)


def test_the_highest_raised_place_counts_and_the_floor_is_where_its_line_is(facts_of, surface, reading):
    raised = {(500, 700): 3.0, (1500, 1200): 2.0, (2500, 200): 4.0}
    readings = [reading(x, y, raised.get((x, y), 0.0)) for x in COLUMNS for y in HEIGHTS]
    ground = line("outside-ground-line", 0, 250, 4000, 250)
    features = [ground, line("floor-line", 0, 100, 4000, 100)]
    assert facts_of(surface(readings, features=features))["damp-top-above-outside-ground-mm"] == pytest.approx(950)


def test_without_a_raised_place_nothing_stands_above_the_ground(facts_of, surface, reading):
    readings = [reading(x, y, 0.0) for x in COLUMNS for y in HEIGHTS]
    facts = facts_of(surface(readings, features=[line("outside-ground-line", 0, 250, 4000, 250)]))
    assert "damp-top-above-outside-ground-mm" not in facts


def test_of_two_features_of_a_group_the_nearer_is_named_and_of_two_equally_near_the_first(weighed, surface, reading):
    def box(name, x):
        return {"id": name, "kind": "window", "x_mm": x, "y_mm": 600, "to_x_mm": x + 400, "to_y_mm": 800}

    readings = [reading(x, y, 3.0 if (x, y) == (1500, 700) else 0.0) for x in COLUMNS for y in HEIGHTS]
    (near,) = weighed(surface(readings, features=[box("far", 2800), box("near", 1800)])).electrical.nearby
    assert (near.feature, near.distance_mm) == ("near", 300)
    (either,) = weighed(surface(readings, features=[box("right", 1800), box("left", 800)])).electrical.nearby
    assert (either.feature, either.distance_mm) == ("left", 300)


FOUR = (100, 500, 900, 1300)


def column(seen, excesses):
    """The profile of one of two like columns with these excesses from the foot up."""
    places = {(x, y): e for x in (500, 1500) for y, e in zip(FOUR, excesses, strict=True)}
    return seen(places, xs=(500, 1500), ys=FOUR).profile.columns[0]


def test_the_height_of_fall_off_lies_on_the_straight_line_between_the_two_places(seen):
    profile = column(seen, (6.0, 3.0, 0.5, 0.0))
    assert profile.fall_off_mm == pytest.approx(500 + 400 * (3.0 - 1) / (3.0 - 0.5))
    assert profile.bound_mm == pytest.approx(200)


def test_a_place_exactly_at_raised_is_still_raised_and_falls_off_at_once_above_it(seen):
    profile = column(seen, (6.0, 1.0, 0.0, 0.0))
    assert profile.fall_off_mm == pytest.approx(500)


def test_the_first_fall_above_the_peak_counts_not_one_below_it(seen):
    profile = column(seen, (2.0, 0.0, 6.0, 0.0))
    assert (profile.peak_mm, profile.peak_excess) == (900, 6.0)
    assert profile.fall_off_mm == pytest.approx(900 + 400 * 5 / 6)
    assert (profile.base_mm, profile.base_excess) == (100, 2.0)


def test_of_two_equal_peaks_the_lower_counts(seen):
    assert column(seen, (1.0, 5.0, 5.0, 0.0)).peak_mm == 500


@pytest.mark.parametrize(
    ("excesses", "crest"),
    [
        ((1.0, 8.0, 1.0, 0.0), 500),
        ((7.9, 8.0, 1.0, 0.0), None),
        ((1.0, 8.0, 7.9, 7.9), None),
        ((8.0, 4.0, 1.0, 0.0), None),
        ((0.0, 1.0, 4.0, 8.0), None),
        ((0.0, 0.9, 0.0, 0.0), None),
    ],
)
def test_a_crest_stands_clear_of_the_foot_and_of_something_above_it_and_is_itself_raised(seen, excesses, crest):
    assert column(seen, excesses).crest_mm == crest


def test_steadiness_is_the_net_fall_over_all_changes_beyond_the_scatter(seen):
    assert column(seen, (8.0, 4.0, 2.0, 0.0)).steadiness == 1
    assert column(seen, (8.0, 2.0, 6.0, 0.0)).steadiness == pytest.approx((12 - 4) / 16)
    assert column(seen, (0.0, 0.0, 0.0, 0.0)).steadiness is None
    assert column(seen, (0.0, 2.0, 4.0, 8.0)).steadiness is None


def test_the_profile_of_a_wall_is_the_median_of_its_raised_columns(seen):
    tops = {500: 6.0, 1500: 4.0, 2500: 0.0}
    places = {(x, y): top if y == 100 else 0.0 for x, top in tops.items() for y in FOUR}
    profile = seen(places, xs=tuple(tops), ys=FOUR).profile
    assert profile.base_excess == 5.0
    assert profile.peak_mm == 100
    assert profile.fall_off_mm == pytest.approx((100 + 400 * 5 / 6 + 100 + 400 * 3 / 4) / 2)
    assert profile.bound_mm == 200
    assert profile.heights == 4
    assert profile.crest_mm is None


def test_a_wall_on_which_nothing_is_raised_has_the_greatest_of_its_feet_and_no_height_of_fall_off(seen):
    places = {(500, 100): 0.4, (1500, 100): 0.8}
    profile = seen(places, xs=(500, 1500), ys=FOUR).profile
    assert profile.base_excess == pytest.approx(0.8)
    assert (profile.fall_off_mm, profile.peak_mm, profile.bound_mm) == (None, None, None)


def test_raised_columns_read_from_too_high_up_say_nothing_of_the_foot(seen, parameters):
    high = tuple(parameters["wall-base-height"] + 100 + 400 * step for step in range(4))
    profile = seen({(x, high[0]): 5.0 for x in (500, 1500)}, xs=(500, 1500), ys=high).profile
    assert profile.base_excess is None
    assert profile.peak_mm == high[0]


def pressed(reading, x, y, excess, presses):
    one = reading(x, y, excess)
    return {**one, "repeats": one["repeats"][: presses - 1]}


@pytest.mark.parametrize(
    ("excesses", "wettest"),
    [((5.0, 1.0, 0.0, 0.0), 5.0), ((5.0, 1.0, 0.0, 0.0, 0.0), 1.0), ((5.0, 2.0, 2.0, 0.0, 0.0, 0.0), 2.0)],
)
def test_one_press_that_was_not_repeated_makes_no_damp_wall_once_five_places_are_read(
    weighed, surface, reading, excesses, wettest
):
    readings = [pressed(reading, 300 + 400 * i, 300, excess, 1) for i, excess in enumerate(excesses)]
    found = weighed(surface(readings)).electrical.of("wall", "pins")
    assert found.excess == pytest.approx(wettest)


def test_a_place_pressed_three_times_may_stand_for_the_wettest_part_alone(weighed, surface, reading):
    readings = [pressed(reading, 300 + 400 * i, 300, 0.0, 3) for i in range(5)]
    twice, thrice = (
        weighed(surface([*readings, pressed(reading, 3000, 700, 4.0, n)])).electrical.of("wall", "pins").excess
        for n in (2, 3)
    )
    assert twice == pytest.approx(0.0)
    assert thrice == pytest.approx(4.0)


def test_without_a_reference_nothing_is_known_of_the_wettest_part(weighed, surface, reading):
    readings = [reading(x, y, 5.0) for x in COLUMNS for y in HEIGHTS]
    found = weighed(surface(readings, referenced=False)).electrical.of("wall", "pins")
    assert found.excess is None
    assert found.area is None
    assert not math.isnan(found.places[0].value)


def test_a_floor_has_an_area_and_neither_profile_nor_run_nor_shape(weighed, surface, reading):
    readings = [reading(x, y, 3.0) for x in COLUMNS for y in (*HEIGHTS, 1700)]
    found = weighed(surface(readings, kind="floor")).electrical
    on_floor = found.of("wall", "pins")
    assert (on_floor.profile, on_floor.run, on_floor.shape) == (None, None, None)
    assert on_floor.area.area_mm2 > 0
    assert found.principal is None
    assert found.floors == ("wall",)


def fact(position):
    return {"attribute": "wall-position", "value": position, "basis": "seen"}


def test_the_wettest_wall_stands_for_the_area_and_a_partition_only_where_no_other_wall_was_read(
    weighed, surface, reading
):
    def wall(name, excess, **more):
        return surface([reading(x, y, excess) for x in COLUMNS for y in HEIGHTS], id=name, **more)

    walls = [wall("dry", 0.5), wall("inner", 6.0, facts=[fact("internal")]), wall("wet", 2.0)]
    found = weighed(*walls).electrical
    assert found.principal == "wet"
    assert found.partitions == ("inner",)
    assert weighed(walls[1]).electrical.principal == "inner"
    assert weighed(wall("b", 2.0), wall("a", 2.0)).electrical.principal == "a"


def test_the_mode_that_has_a_profile_leads_and_of_two_that_have_the_wetter_and_of_two_as_wet_the_pins(
    weighed, surface, reading
):
    def read(tool, excess, ys):
        return [reading(x, y, excess, tool) for x in (500, 1500) for y in ys]

    def leading(*readings):
        return weighed(surface([r for each in readings for r in each])).electrical.leading

    assert leading(read("pins", 5.0, (100, 500)), read("plate", 2.0, FOUR)) == "capacitance"
    assert leading(read("pins", 2.0, FOUR), read("plate", 5.0, FOUR)) == "capacitance"
    assert leading(read("pins", 5.0, FOUR), read("plate", 2.0, FOUR)) == "pins"
    assert leading(read("pins", 2.0, FOUR), read("plate", 2.0, FOUR)) == "pins"
    assert leading(read("deep", 2.0, FOUR)) is None


def test_two_columns_are_enough_for_an_area(seen):
    # by hand: from the left edge to halfway, 1000 mm, and from the floor to 450 mm
    assert seen({(500, 200): 2.0}, xs=(500, 1500)).area.area_mm2 == pytest.approx(1000 * 450)


def test_a_foot_exactly_at_raised_belongs_to_the_run(seen):
    run = seen({(700, 200): 1.0}, xs=RUN).run
    assert (run.start_mm, run.stop_mm) == (500, 1350)


def test_a_place_level_with_the_edge_of_a_raised_piece_beside_it_lies_beside_raised_wall(weighed, surface, reading):
    # by hand: the right column stands for 0 to 700 mm and 700 to 1900 mm; the left place at 700 mm touches both
    left = [reading(500, y, e) for y, e in ((200, 0.0), (700, 3.0), (1200, 0.0))]
    right = [reading(1500, y, e) for y, e in ((200, 3.0), (1200, 0.0))]
    area = weighed(surface([*left, *right])).electrical.of("wall", "pins").area
    assert area.area_mm2 == pytest.approx(1000 * 500 + 1000 * 700)
    assert area.bound_mm2 == pytest.approx(2 * 1000 * 250 + 1000 * 500 + 700 * 500)


def test_a_wall_without_a_dry_reference_does_not_stand_for_the_area_where_another_has_one(weighed, surface, reading):
    many = surface([reading(x, y, 8.0) for x in COLUMNS for y in HEIGHTS], id="bare", referenced=False)
    few = surface([reading(500, y, 0.0) for y in HEIGHTS], id="dry")
    # a reference counts for its material wherever it was taken, so the bare wall is of another
    other = {**many, "material": "lime-plaster"}
    assert weighed(other, few).electrical.principal == "dry"
    assert weighed(other).electrical.principal == "bare"
