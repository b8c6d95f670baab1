import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures import psychrometrics as moist

celsius = st.floats(-10, 50)
percent = st.floats(5, 100)


@given(celsius, percent)
def test_humidity_comes_back_from_the_dew_point(temperature, humidity):
    dew = moist.dew_point(temperature, humidity)
    assert dew <= temperature + 1e-6
    assert moist.humidity_of_dew_point(temperature, dew) == pytest.approx(humidity, rel=1e-6)


@given(celsius, percent)
def test_humidity_comes_back_from_the_absolute_humidity(temperature, humidity):
    grams = moist.absolute_humidity(temperature, humidity)
    assert moist.humidity_of_absolute(temperature, grams) == pytest.approx(humidity, rel=1e-9)


@given(st.floats(-45, 60))
def test_temperature_comes_back_from_its_saturation_pressure(temperature):
    pressure = moist.saturation_vapour_pressure(temperature)
    assert moist.dew_point_of_vapour_pressure(pressure) == pytest.approx(temperature, abs=1e-6)


@given(st.floats(-45, 0))
def test_temperature_comes_back_from_its_saturation_pressure_over_ice(temperature):
    pressure = moist.saturation_vapour_pressure(temperature, "ice")
    assert moist.dew_point_of_vapour_pressure(pressure, "ice") == pytest.approx(temperature, abs=1e-6)


@given(celsius, percent, st.floats(-20, 50))
def test_a_surface_is_saturated_just_when_it_is_at_or_below_the_dew_point(temperature, humidity, surface):
    margin = moist.dew_point_margin(temperature, humidity, surface)
    at_surface = moist.surface_humidity(moist.vapour_pressure(temperature, humidity), surface)
    if abs(margin) > 1e-6:
        assert (margin < 0) == (at_surface >= 100)


@given(st.floats(-20, 49), percent)
def test_the_same_vapour_is_a_lower_humidity_in_warmer_air(temperature, humidity):
    pressure = moist.vapour_pressure(temperature, humidity)
    assert moist.surface_humidity(pressure, temperature + 1) < humidity


def test_frost_forms_above_the_dew_point_over_water():
    assert moist.dew_point(0.0, 50.0) < moist.frost_point(0.0, 50.0) < 0


def test_one_number_gives_a_float_and_an_array_an_array_of_its_shape():
    assert type(moist.dew_point(20.0, 50.0)) is float
    many = moist.absolute_humidity(np.array([10.0, 20.0, 30.0]), np.array([50.0, 60.0, 70.0]))
    assert many.shape == (3,)
    assert many[1] == moist.absolute_humidity(20.0, 60.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: moist.vapour_pressure(20.0, 120.0), "relative humidity: found 120; allowed: 0 to 100 %"),
        (lambda: moist.vapour_pressure(68.0, 50.0), "temperature: found 68; allowed: -45 to 60 °C"),
        (lambda: moist.vapour_pressure(math.nan, 50.0), "temperature: found nan; allowed: -45 to 60 °C"),
        (lambda: moist.dew_point(20.0, 0.0), "relative humidity: found 0; allowed: above 0 up to 100 %"),
        (lambda: moist.dew_point(20.0, -5.0), "relative humidity: found -5"),
        (lambda: moist.dew_point(-40.0, 5.0), "saturating between -45 and 60 °C"),
        (lambda: moist.humidity_of_dew_point(20.0, 22.0), "dew point: found 2 K above the air temperature"),
        (lambda: moist.humidity_of_absolute(10.0, 20.0), "of saturation; allowed: at most 100 %"),
        (lambda: moist.frost_point(20.0, 90.0), "allowed"),
        (lambda: moist.saturation_vapour_pressure(5.0, "ice"), "allowed: -45 to 0 °C"),
        (lambda: moist.saturation_vapour_pressure_iso_13788(45.0), "allowed: -20 to 40 °C"),
        (lambda: moist.humidity_ratio(20.0, 50.0, 1013.25), "air pressure: found 1013.25; allowed: 60000 to 110000 Pa"),
        (lambda: moist.surface_humidity(-1.0, 10.0), "vapour pressure: found -1"),
        (lambda: moist.vapour_pressure(np.array([20.0, 99.0]), np.array([50.0, 50.0])), "found 99"),
    ],
)
def test_what_lies_outside_its_range_is_refused_with_the_range_named(call, message):
    with pytest.raises(ValueError, match="allowed") as refusal:
        call()
    assert message in str(refusal.value)
