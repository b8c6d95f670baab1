"""Quantities and columns of readings as people type them."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.case.numerals import NotANumber
from engine.inquiry.measured import typed_air, typed_column, typed_presses
from engine.inquiry.quantities import quantity


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("300", "mm", 300),
        ("300 mm", "mm", 300),
        ("0.3 m", "mm", 300),
        ("0,3 m", "mm", 300),
        ("30cm", "mm", 300),
        ("-60 mm", "mm", -60),
        ("12 C", "°C", 12),
        ("12,5 °C", "°C", 12.5),
        ("54%", "%", 54),
        ("2 years", "months", 24),
        ("300-450 mm", "mm", 375),
        ("between 30 and 45 cm", "mm", 375),
        ("0.3 to 0.45 m", "mm", 375),
    ],
)
def test_numbers_are_taken_with_their_units(text, unit, value):
    assert quantity(text, unit).value == pytest.approx(value)


def test_a_range_keeps_both_ends_and_about_is_rough():
    found = quantity("300–450 mm", "mm")
    assert (found.low, found.high, found.ranged) == (300, 450, True)
    assert quantity("about 300", "mm").rough


@pytest.mark.parametrize("text", ["", "wide", "12 F", "300 kg", "450-300 mm", "1,250", "3 mm 4", "--3"])
def test_what_is_no_quantity_or_could_be_two_is_refused_with_advice(text):
    with pytest.raises(NotANumber) as fault:
        quantity(text, "°C" if text.endswith("F") else "mm")
    assert fault.value.advice


@given(st.text(max_size=30), st.sampled_from(["mm", "months", "°C", "%", None]))
def test_any_text_is_taken_or_refused_and_never_breaks(text, unit):
    try:
        found = quantity(text, unit)
    except NotANumber:
        return
    assert found.low <= found.value <= found.high


def test_a_column_is_taken_with_repeats_and_its_place():
    column = typed_column("pins 0:28 75:30/29,5/31 150:26 at 0.5 m")
    assert column.instrument == "pins"
    assert column.x_mm == 500
    assert column.places == ((0, (28,)), (75, (30, 29.5, 31)), (150, (26,)))
    assert column.readings("p1", None)[1] == {
        "x_mm": 500,
        "y_mm": 75,
        "instrument": "p1",
        "value": 30,
        "repeats": [29.5, 31],
    }


@pytest.mark.parametrize("text", ["pins 0:28", "0:28 75:30 at 500", "pins at 500", "pins 0-28 at 500", "pins 0:x at 5"])
def test_a_column_that_lacks_something_is_refused_with_advice(text):
    with pytest.raises(NotANumber) as fault:
        typed_column(text)
    assert fault.value.advice


def test_presses_and_air_are_taken():
    assert typed_presses("pins 11 11,5 12") == ("pins", (11, 11.5, 12))
    assert typed_air("19,5 C 54%") == {"temperature_c": 19.5, "humidity_percent": 54}
    assert typed_air("54 %, 19.5C") == {"temperature_c": 19.5, "humidity_percent": 54}


@given(st.text(max_size=40))
def test_any_text_as_column_presses_or_air_is_taken_or_refused(text):
    for take in (typed_column, typed_presses, typed_air):
        with contextlib.suppress(NotANumber):
            take(text)
