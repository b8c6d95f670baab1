import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures.humidity_load import (
    air_changes,
    class_limits,
    household_production,
    humidity_class,
    moisture_balance,
    vapour_excess,
)

LIMITS = (270.0, 540.0, 810.0, 1080.0)


@given(st.floats(0.1, 50), st.floats(20, 1000), st.floats(0.05, 5))
def test_air_changes_come_back_from_the_moisture_balance(production, volume, changes):
    excess = moisture_balance(production, volume, changes)
    if 0 < excess <= 100:
        assert air_changes(production, volume, excess) == pytest.approx(changes)


@given(st.floats(-10, 30), st.floats(10, 100))
def test_the_same_air_inside_and_outside_has_no_excess(celsius, percent):
    excess = vapour_excess(celsius, percent, celsius, percent)
    assert (excess.pascal, excess.grams_per_m3) == (0, 0)


@given(st.floats(-20, 19.9), st.floats(-500, 3000), st.floats(0, 500))
def test_more_excess_never_means_a_drier_class(outside, excess, more):
    assert 1 <= humidity_class(excess, outside, LIMITS) <= humidity_class(excess + more, outside, LIMITS) <= 5


def test_a_value_on_a_limit_belongs_to_the_drier_class():
    assert humidity_class(540.0, 0.0, LIMITS) == 2
    assert humidity_class(540.1, 0.0, LIMITS) == 3


def test_no_class_is_given_from_twenty_degrees_outside():
    assert humidity_class(300.0, 20.0, LIMITS) is None
    assert class_limits(25.0, LIMITS) == (0, 0, 0, 0)


def test_bad_quantities_are_refused_by_name():
    with pytest.raises(ValueError, match="volume: found 0"):
        moisture_balance(10, 0, 0.5)
    with pytest.raises(ValueError, match="persons: found 7; allowed: 1 to 6"):
        household_production(7, "dry")
    with pytest.raises(ValueError, match="occupancy: found 'damp'; allowed: dry, moist, wet"):
        household_production(2, "damp")
