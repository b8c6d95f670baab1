import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures import gravimetric


@given(st.floats(0, 90))
def test_wet_basis_comes_back_from_dry_basis(percent):
    assert gravimetric.dry_to_wet_basis(gravimetric.wet_to_dry_basis(percent)) == pytest.approx(percent, abs=1e-9)


@given(st.floats(0.5, 50), st.floats(0, 30), st.floats(0, 30))
def test_free_water_is_the_difference_of_the_two_moistures(dry, found, hygroscopic):
    wet, conditioned = dry * (1 + found / 100), dry * (1 + hygroscopic / 100)
    assert gravimetric.free_water(wet, conditioned, dry) == pytest.approx(found - hygroscopic, abs=1e-9)


@given(st.floats(0.5, 50), st.floats(0, 30), st.floats(0.1, 10))
def test_the_size_of_a_sample_does_not_matter(dry, found, scale):
    wet = dry * (1 + found / 100)
    assert gravimetric.moisture_content(wet * scale, dry * scale) == pytest.approx(found, abs=1e-9)


@given(st.floats(0.5, 50), st.floats(0, 30))
def test_both_bases_of_one_sample_convert_into_each_other(dry, found):
    wet = dry * (1 + found / 100)
    converted = gravimetric.wet_to_dry_basis(gravimetric.moisture_content_wet_basis(wet, dry))
    assert converted == pytest.approx(gravimetric.moisture_content(wet, dry), abs=1e-9)


def test_masses_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="less than the dry mass"):
        gravimetric.moisture_content(1.9, 2.0)
    with pytest.raises(ValueError, match="dry mass: found 0"):
        gravimetric.moisture_content(2.0, 0.0)
    with pytest.raises(ValueError, match="wet basis: found 97"):
        gravimetric.wet_to_dry_basis(97.0)
