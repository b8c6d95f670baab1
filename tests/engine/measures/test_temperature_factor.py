import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures.temperature_factor import expected_factor, expected_surface_temperature, temperature_factor

LIMIT = 0.75


def test_the_verdict_is_undecided_when_the_band_straddles_the_limit():
    tolerances = {"surface_tolerance_k": 0.5, "inside_tolerance_k": 0.5, "outside_tolerance_k": 0.5}
    assert temperature_factor(12.0, 20.0, 5.0, **tolerances).verdict(LIMIT) == "below"
    assert temperature_factor(16.2, 20.0, 5.0, **tolerances).verdict(LIMIT) == "undecided"
    assert temperature_factor(18.0, 20.0, 5.0, **tolerances).verdict(LIMIT) == "above"
    assert temperature_factor(16.25, 20.0, 5.0).verdict(LIMIT) == "above"


def test_the_band_is_the_spread_that_errors_of_the_three_thermometers_give():
    """Against a simulation: independent errors of the stated size spread the factor by half the band's width."""
    draw = np.random.default_rng(1).normal(0, 0.1, (3, 200_000))
    simulated = ((14 + draw[0]) - (3 + draw[2])) / ((20 + draw[1]) - (3 + draw[2]))
    factor = temperature_factor(14, 20, 3, surface_tolerance_k=0.1, inside_tolerance_k=0.1, outside_tolerance_k=0.1)
    assert (factor.upper - factor.lower) / 2 == pytest.approx(simulated.std(), rel=0.02)


@given(st.floats(-10, 9), st.floats(12, 25), st.floats(0, 1))
def test_the_factor_is_the_share_of_the_way_from_outside_to_inside(outside, inside, share):
    surface = outside + share * (inside - outside)
    assert temperature_factor(surface, inside, outside).value == pytest.approx(share, abs=1e-9)


@given(st.floats(0.05, 7), st.floats(-10, 9), st.floats(12, 25))
def test_a_surface_at_its_expected_temperature_has_its_expected_factor(u_value, outside, inside):
    surface = expected_surface_temperature(u_value, inside, outside, 0.25)
    assert temperature_factor(surface, inside, outside).value == pytest.approx(expected_factor(u_value, 0.25))


@given(st.floats(0.05, 7))
def test_a_sheltered_place_is_never_warmer_than_the_open_wall(u_value):
    assert 0 < expected_factor(u_value, 0.25) < expected_factor(u_value, 0.13) < 1


def test_the_adapted_u_value_does_not_count_the_surface_resistance_twice():
    assert expected_factor(2.1, 0.25) > 1 - 0.25 * 2.1


def test_too_small_a_difference_and_impossible_quantities_are_refused():
    with pytest.raises(ValueError, match=r"found 8\.0 K; allowed: 10 K or more"):
        temperature_factor(15, 20, 12, least_difference_k=10)
    with pytest.raises(ValueError, match="allowed: above 0 K"):
        temperature_factor(20, 18, 25)
    with pytest.raises(ValueError, match="inside temperature: found 68"):
        temperature_factor(15, 68, 10)
    with pytest.raises(ValueError, match="U-value: found 0; allowed"):
        expected_factor(0)
    with pytest.raises(ValueError, match="surface tolerance: found -1"):
        temperature_factor(15, 20, 5, surface_tolerance_k=-1)
