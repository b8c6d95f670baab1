"""Salts, drilled samples and ion loads against published tables and worked examples."""

import pytest

from engine.measures.gravimetric import (
    free_water,
    moisture_content,
    moisture_content_wet_basis,
    wet_to_dry_basis,
)
from engine.measures.salts import SALTS, deliquescence_humidity, water_drawn_by_sodium_chloride

GREENSPAN = {
    # Greenspan, J. Res. NBS 81A (1977) 89-96; magnesium nitrate, sodium bromide and sodium nitrate from memory
    "magnesium chloride": (33.5, 33.3, 33.1, 32.8),
    "potassium carbonate": (43.1, 43.2, 43.2, 43.2),
    "magnesium nitrate": (57.4, 55.9, 54.4, 52.9),
    "sodium bromide": (62.2, 60.7, 59.1, 57.6),
    "sodium nitrate": (77.5, 76.5, 75.4, 74.3),
    "sodium chloride": (75.7, 75.6, 75.5, 75.3),
    "potassium chloride": (86.8, 85.9, 85.1, 84.3),
    "potassium nitrate": (96.0, 95.4, 94.6, 93.6),
    "potassium sulphate": (98.2, 97.9, 97.6, 97.3),
}
WEXLER = {
    # Wexler, CRC Handbook, RH = A·exp(B/T), ± 2 %
    "calcium nitrate": (60.4, 56.9, 53.7, 50.7),
    "ammonium nitrate": (72.0, 68.3, 65.0, 61.9),
    "ammonium chloride": (81.8, 80.6, 79.5, 78.5),
    "ammonium sulphate": (82.0, 81.6, 81.3, 80.9),
}
OTHER_WEXLER = {
    # the same handbook for salts that are taken from Greenspan
    "magnesium nitrate": (55.0, 54.2, 53.5, 52.9),
    "sodium nitrate": (78.3, 76.8, 75.5, 74.2),
    "potassium nitrate": (95.7, 94.4, 93.1, 91.9),
}
TEMPERATURES = (10.0, 15.0, 20.0, 25.0)


@pytest.mark.parametrize("salt", sorted(GREENSPAN | WEXLER))
def test_deliquescence_humidity_is_the_tabulated_one(salt):
    got = [deliquescence_humidity(salt, celsius) for celsius in TEMPERATURES]
    assert got == pytest.approx((GREENSPAN | WEXLER)[salt], abs=0.051)


def test_calcium_chloride_is_tabulated_over_its_narrow_range():
    """Wexler, CRC Handbook, valid 15 to 25 °C."""
    got = [deliquescence_humidity("calcium chloride", celsius) for celsius in (15.0, 20.0, 25.0)]
    assert got == pytest.approx([34.1, 30.9, 28.1], abs=0.051)
    with pytest.raises(ValueError, match="15 to 25 °C"):
        deliquescence_humidity("calcium chloride", 10.0)


@pytest.mark.parametrize("salt", sorted(OTHER_WEXLER))
def test_the_two_sources_agree_within_two_and_a_half_points(salt):
    got = [deliquescence_humidity(salt, celsius) for celsius in TEMPERATURES]
    assert got == pytest.approx(OTHER_WEXLER[salt], abs=2.5)


def test_sulphates_at_twenty_degrees():
    """From memory: sodium sulphate 93 to 94 %, magnesium sulphate about 90 %, gypsum above 99 %."""
    assert 93 <= deliquescence_humidity("sodium sulphate", 20.0) <= 94
    assert deliquescence_humidity("magnesium sulphate", 20.0) == pytest.approx(90, abs=1)
    assert deliquescence_humidity("gypsum", 20.0) >= 99


def test_a_hygrometer_over_saturated_salt_is_checked_at_seventy_five():
    """Saturated sodium chloride gives 75 ± 3 % at 20 °C; samples are conditioned over it."""
    assert SALTS["sodium chloride"].humidity(20.0) == pytest.approx(75, abs=3)


@pytest.mark.parametrize(("percent", "molality", "grams"), [(80, 5.1, 3.3), (85, 4.0, 4.2), (90, 2.8, 6.0)])
def test_water_drawn_by_sodium_chloride(percent, molality, grams):
    """Water activities of Robinson and Stokes (from memory); interpolated."""
    got = water_drawn_by_sodium_chloride(percent)
    assert got == pytest.approx(grams, abs=0.07)
    assert 1000 / got / 58.44 == pytest.approx(molality, abs=0.051)


def test_one_percent_of_salt_keeps_plaster_at_three_to_four_percent():
    assert 3 <= water_drawn_by_sodium_chloride(80) <= water_drawn_by_sodium_chloride(85) <= 4.3


def test_wet_basis_becomes_dry_basis():
    wet = (1, 2, 3, 5, 8, 10, 15, 20)
    dry = (1.01, 2.04, 3.09, 5.26, 8.70, 11.1, 17.6, 25.0)
    assert [wet_to_dry_basis(value) for value in wet] == pytest.approx(dry, abs=0.051)


def test_worked_sample():
    """Masses 2.160, 2.060 and 2.000 g: wet basis 7.4 and 2.9 %, dry basis 8.0 and 3.0 %, free water 5.0 %."""
    assert moisture_content_wet_basis(2.160, 2.000) == pytest.approx(7.4, abs=0.051)
    assert moisture_content_wet_basis(2.060, 2.000) == pytest.approx(2.9, abs=0.051)
    assert moisture_content(2.160, 2.000) == pytest.approx(8.0)
    assert moisture_content(2.060, 2.000) == pytest.approx(3.0)
    assert free_water(2.160, 2.060, 2.000) == pytest.approx(5.0)


def test_limits_of_the_reading_rule_and_of_the_load_bands(parameters):
    """BRE Digest 245 (through quotations); WTA 2-9-04 style bands (chloride and low nitrate from memory)."""
    published = {
        "base-moisture-strong": 5,
        "chloride-low-limit": 0.2,
        "chloride-high-limit": 0.5,
        "nitrate-low-limit": 0.1,
        "nitrate-high-limit": 0.3,
        "sulphate-low-limit": 0.5,
        "sulphate-high-limit": 1.5,
    }
    assert {name: parameters[name] for name in published} == published
