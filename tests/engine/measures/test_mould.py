import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.measures.mould import (
    SENSITIVITY_CLASSES,
    greatest_index,
    mould_index,
    sensitivity_class,
    weeks_to_first_growth,
)

DAY = 24


def weather(seed, days=60):
    draw = np.random.default_rng(seed)
    hours = np.arange(days * DAY)
    celsius = 12 + 6 * np.sin(hours / 24 * 2 * np.pi) + draw.normal(0, 1, len(hours))
    humidity = np.clip(85 + 12 * np.sin(hours / 170) + draw.normal(0, 4, len(hours)), 0, 100)
    return celsius, humidity


@settings(max_examples=20)
@given(st.integers(0, 10_000), st.sampled_from(SENSITIVITY_CLASSES))
def test_the_index_stays_within_nought_and_six(seed, material):
    index = mould_index(*weather(seed), 1.0, material)
    assert ((index >= 0) & (index <= 6)).all()


@settings(max_examples=20)
@given(st.integers(0, 10_000))
def test_a_more_sensitive_material_never_ends_with_less_mould(seed):
    ends = [mould_index(*weather(seed), 1.0, material).max() for material in SENSITIVITY_CLASSES]
    assert ends == sorted(ends, reverse=True)


def test_a_dry_room_grows_nothing():
    index = mould_index(np.full(1000, 20.0), np.full(1000, 70.0), 1.0, SENSITIVITY_CLASSES[0])
    assert index.max() == 0


def test_nothing_grows_in_frost_or_above_fifty_degrees():
    for celsius in (-5.0, 55.0):
        assert mould_index(np.full(500, celsius), np.full(500, 98.0), 1.0, SENSITIVITY_CLASSES[0]).max() == 0


def test_the_step_hardly_changes_the_index():
    celsius, humidity = weather(7)
    hourly = mould_index(celsius, humidity, 1.0, SENSITIVITY_CLASSES[0])
    ten_minutes = mould_index(np.repeat(celsius, 6), np.repeat(humidity, 6), 1 / 6, SENSITIVITY_CLASSES[0])
    assert ten_minutes[-1] == pytest.approx(hourly[-1], abs=0.01)


def test_a_gap_in_the_record_holds_the_index():
    celsius, humidity = np.full(200, 20.0), np.full(200, 50.0)
    celsius[50:100] = np.nan
    index = mould_index(celsius, humidity, 1.0, SENSITIVITY_CLASSES[0], start=2.0)
    assert index[49] == index[99]
    assert index[100] < index[99]


def test_growth_that_has_passed_its_ceiling_stays_until_it_is_dry():
    ceiling = greatest_index(20.0, 85.0)
    index = mould_index(np.full(50, 20.0), np.full(50, 85.0), 1.0, SENSITIVITY_CLASSES[0], start=ceiling + 1)
    assert (index == ceiling + 1).all()


def test_bad_input_is_refused_by_name():
    with pytest.raises(ValueError, match="sensitivity to mould: found 5; allowed: 1, 2, 3 or 4"):
        sensitivity_class(5)
    with pytest.raises(ValueError, match="allowed: the critical humidity or more"):
        weeks_to_first_growth(20.0, 60.0)
    with pytest.raises(ValueError, match="step: found 12"):
        mould_index(np.full(5, 20.0), np.full(5, 90.0), 12.0, SENSITIVITY_CLASSES[0])
    with pytest.raises(ValueError, match="relative humidity: found 130"):
        mould_index(np.full(5, 20.0), np.full(5, 130.0), 1.0, SENSITIVITY_CLASSES[0])
