"""Figures of other scripts at a prompt: understood where they count, and never a traceback."""

from __future__ import annotations

import pytest

from cli.interview.understanding import Misunderstood, choices, understand
from engine.case.numerals import NotANumber
from engine.inquiry.measured import typed_air, typed_column
from engine.rulebook import load_rulebook


@pytest.fixture(scope="module")
def question():
    return load_rulebook().questions["age-band"]


@pytest.mark.parametrize("typed", ["¹", "②", "½", "١٢٣٤"])
def test_a_figure_that_is_no_place_in_the_list_is_told(question, typed):
    assert isinstance(understand(typed, question), Misunderstood)


def test_a_figure_of_another_script_is_the_place_that_it_means(question):
    assert understand("٢", question).value == choices(question)[1][0]


def test_what_is_no_reading_is_quoted_cut():
    for read in (typed_air, lambda text: typed_column(f"pins {text} at 500")):
        with pytest.raises(NotANumber) as fault:
            read("x" * 5_000)
        assert len(fault.value.found) < 100
