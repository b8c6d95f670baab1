import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures import wood


@given(st.floats(0, 60), st.floats(1, 99.5))
def test_humidity_comes_back_from_the_equilibrium_moisture_content(celsius, percent):
    moisture = wood.equilibrium_moisture_content(celsius, percent)
    assert wood.humidity_of_equilibrium(celsius, moisture) == pytest.approx(percent, abs=1e-6)


@given(st.floats(0, 60), st.floats(0, 98), st.floats(0.1, 2))
def test_moister_air_makes_moister_wood(celsius, percent, more):
    moist, moister = (wood.equilibrium_moisture_content(celsius, h) for h in (percent, percent + more))
    assert moist < moister


@given(st.floats(5.5, 1000).map(lambda exponent: 10 ** (5 + 6 * (exponent - 5.5) / 994.5)))
def test_resistance_comes_back_from_the_moisture_content(ohm):
    moisture = wood.moisture_of_resistance(ohm)
    assert wood.resistance_of_moisture(moisture) == pytest.approx(ohm, rel=1e-6)


@given(st.floats(5, 60), st.floats(0, 40), st.floats(0.8, 1.3), st.floats(-2, 2))
def test_the_reading_comes_back_from_the_corrected_one(reading, celsius, slope, offset):
    moisture = wood.corrected_reading(reading, celsius, slope, offset)
    if moisture > 0:
        assert wood.reading_of_moisture(moisture, celsius, slope, offset) == pytest.approx(reading)


@given(st.floats(7, 40), st.floats(0, 35))
def test_the_same_reading_means_more_water_in_colder_wood(reading, celsius):
    assert wood.corrected_reading(reading, celsius) > wood.corrected_reading(reading, celsius + 5)


def test_arrays_and_numbers_agree():
    many = wood.corrected_reading(np.array([12.0, 20.0]), np.array([5.0, 5.0]))
    assert many.tolist() == [wood.corrected_reading(12.0, 5.0), wood.corrected_reading(20.0, 5.0)]
    assert type(wood.equilibrium_moisture_content(20.0, 60.0)) is float


def test_what_vapour_alone_cannot_do_is_refused():
    with pytest.raises(ValueError, match="which is what saturated air alone would give"):
        wood.humidity_of_equilibrium(15.0, 45.0)
    with pytest.raises(ValueError, match=r"wood temperature: found -3; allowed: 0 to 40 °C"):
        wood.corrected_reading(20.0, -3.0)
    with pytest.raises(ValueError, match="reading: found -1"):
        wood.corrected_reading(-1.0, 20.0)
    with pytest.raises(ValueError, match="resistance: found 100; allowed"):
        wood.moisture_of_resistance(100.0)
