"""Wood against the handbook table, published resistances and published corrections."""

import numpy as np
import pytest

from engine.measures.wood import (
    corrected_reading,
    equilibrium_moisture_content,
    humidity_of_equilibrium,
    moisture_of_resistance,
)


def test_equilibrium_moisture_content_agrees_with_the_handbook_table():
    """*Wood Handbook* Table 4-2, rows to 90 % from a public reproduction, the row at 95 % from memory; within 0.2."""
    celsius = np.array([-1.1, 4.4, 10.0, 15.6, 21.1, 26.7])
    table = {
        30: [6.3, 6.3, 6.3, 6.2, 6.2, 6.1],
        50: [9.5, 9.5, 9.5, 9.4, 9.2, 9.1],
        60: [11.3, 11.3, 11.2, 11.1, 11.0, 10.8],
        65: [12.4, 12.3, 12.3, 12.1, 12.0, 11.7],
        70: [13.5, 13.5, 13.4, 13.3, 13.1, 12.9],
        75: [14.9, 14.9, 14.8, 14.6, 14.4, 14.2],
        80: [16.5, 16.5, 16.4, 16.2, 16.0, 15.7],
        85: [18.5, 18.5, 18.4, 18.2, 17.9, 17.7],
        90: [21.0, 21.0, 20.9, 20.7, 20.5, 20.2],
        95: [24.3, 24.3, 24.3, 24.1, 23.9, 23.6],
    }
    for percent, row in table.items():
        got = equilibrium_moisture_content(celsius, np.full(6, float(percent)))
        np.testing.assert_allclose(got, row, atol=0.2, err_msg=f"{percent} %")


def test_humidities_of_notable_moisture_contents_at_fifteen_degrees():
    """Inverse of the same equation (computed): 16 % marks the mould limit, 20 % air near 89 %."""
    got = humidity_of_equilibrium(np.full(5, 15.0), np.array([16.0, 18.0, 20.0, 22.0, 25.0]))
    np.testing.assert_allclose(got, [79, 84.5, 88.7, 92.0, 96.0], atol=0.4)


def test_wood_moisture_equivalents_at_ten_to_fifteen_degrees():
    """16 % ≈ 79 %, 18 % ≈ 84 %, 20 % ≈ 89 %, 25 % ≈ 96 % relative humidity (computed from the same equation)."""
    for moisture, percent in ((16, 79), (18, 84), (20, 89), (25, 96)):
        for celsius in (10.0, 15.0):
            assert humidity_of_equilibrium(celsius, float(moisture)) == pytest.approx(percent, abs=1)


@pytest.mark.parametrize(
    ("megohm", "listed", "fitted"),
    [(22_400, 7, 7.0), (120, 12, 11.8), (18.6, 15, 14.8), (2.14, 20, 19.8), (0.46, 25, 25.1)],
)
def test_resistances_of_douglas_fir_give_their_moisture_contents(megohm, listed, fitted):
    """Resistances: James, FPL-GTR-6 (1988), from memory. Fit: Straube, Onysko and Schumacher (2002), from memory."""
    got = moisture_of_resistance(megohm * 1e6)
    assert got == pytest.approx(fitted, abs=0.051)
    assert got == pytest.approx(listed, abs=0.25)


@pytest.mark.parametrize(("megohm", "listed"), [(4780, 8), (630, 10), (4.6, 18), (1.10, 22)])
def test_the_other_listed_resistances_lie_near_the_fit(megohm, listed):
    """James, FPL-GTR-6 (1988), from memory."""
    assert moisture_of_resistance(megohm * 1e6) == pytest.approx(listed, abs=0.3)


def test_temperature_correction_table():
    """Pfaff and Garrahan (1986), *Forest Products Journal* 36(3), formula in public source; table computed."""
    celsius = np.array([0.0, 5, 10, 15, 20, 25, 30])
    table = {
        12: [14.3, 13.7, 13.2, 12.7, 12.2, 11.8, 11.4],
        16: [18.8, 18.1, 17.5, 16.9, 16.3, 15.7, 15.2],
        20: [23.3, 22.6, 21.8, 21.1, 20.4, 19.7, 19.0],
        24: [27.9, 27.0, 26.1, 25.2, 24.4, 23.6, 22.9],
    }
    for reading, row in table.items():
        np.testing.assert_allclose(corrected_reading(np.full(7, float(reading)), celsius), row, atol=0.051)


def test_the_correction_is_nought_at_twenty_three_degrees():
    for reading in (12.0, 16.0, 20.0, 24.0):
        assert corrected_reading(reading, 23.0) == pytest.approx(reading, abs=0.15)


def test_a_cold_joist_reads_two_points_low():
    """A joist at 8 °C that reads 20 %; and 0.4 to 0.9 points for each 5 K (computed from the same formula)."""
    assert corrected_reading(20.0, 8.0) - 20.0 == pytest.approx(2.1, abs=0.1)
    steps = [corrected_reading(r, t) - corrected_reading(r, t + 5) for r in (12.0, 24.0) for t in (0.0, 25.0)]
    assert all(0.35 <= step <= 0.95 for step in steps)


def test_caution_level_and_fibre_saturation_stay_two_numbers(parameters):
    """EN 335:2013 (from memory) and *Wood Handbook* chapter 14."""
    assert parameters["timber-caution"] == 20
    assert parameters["fibre-saturation"] == 30
    assert (parameters["timber-elevated"], parameters["timber-probe"]) == (16, 28)  # judgement
    assert 7 <= parameters["timber-scale-least"] <= 8  # James, FPL-GTR-6
    assert 25 <= parameters["timber-scale-greatest"] <= 30
