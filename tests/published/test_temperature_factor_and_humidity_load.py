"""Temperature factor, humidity classes and moisture balance against published figures and worked examples."""

import pytest

from engine.measures.humidity_load import (
    class_limits,
    excess_as_pressure,
    household_production,
    humidity_class,
    moisture_balance,
    vapour_excess,
)
from engine.measures.psychrometrics import vapour_pressure
from engine.measures.temperature_factor import expected_factor, expected_surface_temperature, temperature_factor


@pytest.mark.parametrize(
    ("u_value", "open_wall", "sheltered", "open_c", "sheltered_c"),
    [
        (2.1, 0.727, 0.581, 14.5, 11.6),  # 225 mm solid brick
        (1.6, 0.792, 0.664, 15.8, 13.3),  # unfilled cavity
        (1.0, 0.870, 0.777, 17.4, 15.5),
        (0.55, 0.928, 0.871, 18.6, 17.4),  # filled cavity
        (0.30, 0.961, 0.928, 19.2, 18.6),
        (0.18, 0.977, 0.956, 19.5, 19.1),
    ],
)
def test_factor_and_surface_temperature_follow_from_the_u_value(u_value, open_wall, sheltered, open_c, sheltered_c):
    """Surface resistances 0.13 (EN ISO 6946) and 0.25 (EN ISO 13788), both from memory; inside 20 °C, outside 0 °C."""
    assert expected_factor(u_value, 0.13) == pytest.approx(open_wall, abs=0.00051)
    assert expected_factor(u_value, 0.25) == pytest.approx(sheltered, abs=0.00051)
    assert expected_surface_temperature(u_value, 20, 0, 0.13) == pytest.approx(open_c, abs=0.051)
    assert expected_surface_temperature(u_value, 20, 0, 0.25) == pytest.approx(sheltered_c, abs=0.051)


def test_worked_solid_wall_at_19_and_2_degrees():
    """Room 19 °C, outside 2 °C, U 2.1: 14.4 °C in the open, 11.9 °C behind a wardrobe; 15.0 °C asks for 0.763."""
    assert expected_surface_temperature(2.1, 19, 2, 0.13) == pytest.approx(14.4, abs=0.051)
    assert expected_surface_temperature(2.1, 19, 2, 0.25) == pytest.approx(11.9, abs=0.051)
    assert temperature_factor(14.97, 19, 2).value == pytest.approx(0.763, abs=0.0005)


def test_half_a_kelvin_on_the_surface_at_ten_kelvin_gives_five_hundredths():
    factor = temperature_factor(15.0, 20.0, 10.0, surface_tolerance_k=0.5)
    assert factor.upper - factor.value == pytest.approx(0.05)
    assert factor.value - factor.lower == pytest.approx(0.05)


def test_limits_of_the_standards_are_the_published_ones(parameters):
    """BRE IP 1/06 Table 1 (several public texts); EN ISO 13788; Approved Document F Appendix A (from memory)."""
    published = {
        "temperature-factor-limit": 0.75,
        "surface-humidity-mould-limit": 80,
        "surface-humidity-corrosion-limit": 60,
        "surface-humidity-month-limit": 75,
        "surface-humidity-week-limit": 85,
        "surface-humidity-day-limit": 95,
        "room-humidity-month-limit": 65,
        "room-humidity-week-limit": 75,
        "room-humidity-day-limit": 85,
        "surface-resistance-inside": 0.13,
        "surface-resistance-inside-sheltered": 0.25,
        "surface-resistance-outside": 0.04,
    }
    assert {name: parameters[name] for name in published} == published


def classes(parameters):
    return [parameters[f"humidity-class-{number}-limit"] for number in (1, 2, 3, 4)]


@pytest.mark.parametrize(
    ("outside_c", "limits"),
    [
        (-5, (270, 540, 810, 1080)),
        (0, (270, 540, 810, 1080)),
        (5, (202, 405, 608, 810)),
        (10, (135, 270, 405, 540)),
        (15, (68, 135, 202, 270)),
        (20, (0, 0, 0, 0)),
    ],
)
def test_class_limits_fall_to_zero_at_twenty_degrees_outside(parameters, outside_c, limits):
    """EN ISO 13788:2012 Annex A, Figure A.1 (from memory)."""
    assert class_limits(outside_c, classes(parameters)) == pytest.approx(limits, abs=0.51)


def test_worked_house_is_of_class_three(parameters):
    """Inside 19 °C/60 % (1315 Pa), outside 5 °C/85 % (741 Pa): 574 Pa or 3.98 g/m³ (at the room's 19 °C), class 3."""
    excess = vapour_excess(19.0, 60.0, 5.0, 85.0)
    assert vapour_pressure(19.0, 60.0) == pytest.approx(1315, abs=0.51)
    assert vapour_pressure(5.0, 85.0) == pytest.approx(741, abs=0.51)
    assert excess.pascal == pytest.approx(574, abs=0.51)
    assert excess.grams_per_m3 == pytest.approx(3.98, abs=0.006)
    assert humidity_class(excess.pascal, 5.0, classes(parameters)) == 3


@pytest.mark.parametrize(("changes", "grams", "pascal"), [(0.3, 6.9, 940), (0.5, 4.2, 564), (1.0, 2.1, 282)])
def test_ten_kilograms_a_day_in_two_hundred_cubic_metres(changes, grams, pascal):
    """Δv = G/(n·V), Δp = Δv·461.5·T at 20 °C (computed)."""
    excess = moisture_balance(10, 200, changes)
    assert excess == pytest.approx(grams, abs=0.051)
    assert excess_as_pressure(excess, 20.0) == pytest.approx(pascal, abs=0.6)


def test_household_moisture_production_is_the_published_table():
    """BS 5250:2002 Annex B (from memory; the nine kilograms of one person seen in an institute article)."""
    table = {
        "dry": (3.5, 4, 4, 5, 6, 7),
        "moist": (6, 8, 9, 10, 11, 12),
        "wet": (9, 11, 12, 14, 15, 16),
    }
    for occupancy, row in table.items():
        assert tuple(household_production(persons, occupancy) for persons in range(1, 7)) == row
