"""Mould growth against figures of the model of Hukka and Viitanen (1999) and its sensitivity classes.

Equations as in public research implementations; time to visible growth from memory; check values computed apart.
"""

import numpy as np
import pytest

from engine.measures.mould import (
    SENSITIVITY_CLASSES,
    critical_humidity,
    greatest_index,
    mould_index,
    weeks_to_first_growth,
    weeks_to_visible_growth,
)

HOUR = 1.0


def test_critical_humidity_by_temperature():
    got = critical_humidity(np.array([1.0, 5.0, 10.0, 12.0, 15.0, 25.0]))
    np.testing.assert_allclose(got, [97.0, 88.0, 82.0, 80.9, 80.0, 80.0], atol=0.051)


@pytest.mark.parametrize(
    ("celsius", "percent", "first", "visible", "greatest"),
    [
        (20, 90, 4.2, 7.7, 4.0),
        (10, 85, 14.9, 26.7, 2.1),
        (15, 85, 11.3, 19.8, 2.6),
        (5, 95, 5.1, 10.8, 4.4),
        (20, 97, 1.5, 3.0, 5.5),
    ],
)
def test_weeks_to_growth_on_pine_and_the_index_it_tends_to(celsius, percent, first, visible, greatest):
    assert weeks_to_first_growth(celsius, percent) == pytest.approx(first, abs=0.051)
    assert weeks_to_visible_growth(celsius, percent) == pytest.approx(visible, abs=0.051)
    assert greatest_index(celsius, percent) == pytest.approx(greatest, abs=0.051)


def test_classes_carry_the_published_constants():
    """Viitanen and Ojanen (2007), Ojanen and others (2010), through public implementations."""
    rows = [(c.first, c.later, c.a, c.b, c.c, c.least_humidity) for c in SENSITIVITY_CLASSES]
    assert rows == [
        (1, 2, 1, 7, 2, 80),
        (0.578, 0.386, 0.3, 6, 1, 80),
        (0.072, 0.097, 0, 5, 1.5, 85),
        (0.033, 0.014, 0, 3, 1, 85),
    ]


@pytest.mark.parametrize(("celsius", "percent"), [(20.0, 90.0), (20.0, 97.0), (5.0, 95.0)])
def test_at_constant_climate_the_index_on_pine_reaches_one_when_the_equation_says(celsius, percent):
    """Below index 1 the rate is 1/(7·tm) per day, so index 1 comes after tm weeks, but for the ceiling's brake."""
    hours = 24 * 7 * 20
    index = mould_index(np.full(hours, celsius), np.full(hours, percent), HOUR, SENSITIVITY_CLASSES[0])
    weeks = int(np.argmax(index >= 1)) / (24 * 7)
    assert weeks == pytest.approx(weeks_to_first_growth(celsius, percent), rel=0.02)


def test_the_index_of_an_unchanging_climate_tends_to_the_published_greatest():
    hours = 24 * 7 * 200
    for material in SENSITIVITY_CLASSES[:2]:
        index = mould_index(np.full(hours, 20.0), np.full(hours, 90.0), HOUR, material)
        assert index[-1] == pytest.approx(greatest_index(20.0, 90.0, material), abs=0.02)


def test_dry_spells_lower_the_index_at_the_published_rates():
    """−0.032 per day for six hours, nothing to a day, then −0.016 per day."""
    index = mould_index(np.full(72, 20.0), np.full(72, 50.0), HOUR, SENSITIVITY_CLASSES[0], start=3.0)
    assert 3.0 - index[5] == pytest.approx(0.032 * 6 / 24)
    assert index[23] == pytest.approx(index[5])
    assert index[23] - index[71] == pytest.approx(0.016 * 2)
