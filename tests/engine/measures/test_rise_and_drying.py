from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures import rise
from engine.measures.drying import masonry_drying, screed_drying

walls = st.builds(rise.Wall, st.floats(50, 1000), st.floats(0.1, 5), st.floats(0.0001, 0.01), st.floats(0.05, 0.4))


@given(walls, st.floats(0.01, 0.99))
def test_time_comes_back_from_the_height(wall, share):
    days = rise.days_to_height(wall, share * rise.steady_height(wall))
    assert rise.height_after(wall, days) == pytest.approx(share * rise.steady_height(wall), rel=1e-6)


@given(walls)
def test_inflow_equals_evaporation_at_the_steady_height(wall):
    """The balance that the height comes from: b·S²/(2·θ·h) = e·h."""
    height = rise.steady_height(wall)
    inflow = wall.thickness_mm * wall.sorptivity**2 / (2 * wall.water_content * height)
    assert inflow == pytest.approx(wall.evaporation * height)


@given(walls)
def test_residence_time_is_stored_water_over_throughput(wall):
    assert rise.stored_water(wall) / rise.throughput(wall) == pytest.approx(rise.residence_time(wall))


@given(walls, st.floats(0.05, 3))
def test_the_time_course_keeps_the_water_balance_at_every_moment(wall, constants):
    """Storage is inflow less evaporation, θ·b·dh/dt = b·S²/(2·θ·h) − e·h, so d(h²)/dt = S²/θ² − 2·e·h²/(b·θ)."""
    days = constants * rise.time_constant(wall)
    step = rise.time_constant(wall) * 1e-4
    before, middle, after = (rise.height_after(wall, day) ** 2 for day in (days - step, days, days + step))
    slope = (after - before) / (2 * step * 1440)
    inflow = wall.sorptivity**2 / wall.water_content**2
    drying = 2 * wall.evaporation * middle / (wall.thickness_mm * wall.water_content)
    assert slope == pytest.approx(inflow - drying, rel=1e-4)


def test_the_steady_height_is_never_reached():
    wall = rise.Wall(225)
    assert rise.days_to_height(wall, rise.steady_height(wall)) == inf
    assert rise.height_after(wall, 10_000) == pytest.approx(rise.steady_height(wall))


@pytest.mark.parametrize(
    ("observed", "plausibility", "doubted"),
    [
        (600, "within", False),
        (750, "within", False),
        (1400, "possible", False),
        (2000, "possible", True),
        (2400, "beyond", True),
    ],
)
def test_an_observed_height_is_set_against_what_the_wall_could_do(observed, plausibility, doubted):
    statement = rise.plausible_height(rise.Wall(225), observed, 1500)
    assert (statement.plausibility, statement.doubted) == (plausibility, doubted)
    assert statement.lowest_mm < statement.expected_mm < statement.highest_mm


@given(walls, st.floats(0, 5000), st.floats(0, 2000))
def test_a_higher_tide_is_never_more_plausible(wall, observed, more):
    order = ["within", "possible", "beyond"]
    low, high = (rise.plausible_height(wall, height, 1500).plausibility for height in (observed, observed + more))
    assert order.index(low) <= order.index(high)


def test_two_drying_faces_halve_the_time():
    one, two = masonry_drying(300, 1, 1, 2), masonry_drying(300, 2, 1, 2)
    assert two.typical == one.typical / 2
    assert (one.shortest, one.longest) == (6, 24)


def test_bad_quantities_are_refused_by_name():
    with pytest.raises(ValueError, match="wall thickness: found 5; allowed: 20 to 2000 mm"):
        rise.Wall(5)
    with pytest.raises(ValueError, match="evaporation: found 0"):
        rise.Wall(225, evaporation=0.0)
    with pytest.raises(ValueError, match="time: found -1"):
        rise.height_after(rise.Wall(225), -1)
    with pytest.raises(ValueError, match="drying faces: found 3; allowed: 1 to 2"):
        masonry_drying(225, 3, 1, 2)
    with pytest.raises(ValueError, match="thickness: found 500; allowed: 10 to 200 mm"):
        screed_drying(500, 2)
