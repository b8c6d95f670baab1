"""Numbers and tests in words: the figure agrees with the word, and no figure claims more than it holds."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.explaining.wording import believed, clause, fact_words, lack_words, sentence, value_words
from engine.inference.conditions import Test as Tested
from engine.inference.facts import Fact, Sureness
from engine.inference.near_misses import Lack
from engine.opinion.words import belief_words


@given(st.floats(0, 1))
def test_the_figure_beside_a_word_of_belief_lies_within_what_the_word_stands_for(rulebook, probability):
    said = believed(rulebook, probability)
    word, kind, figure = re.fullmatch(r"([a-z ]+) \((about|under|over) (\d+) %\)", said).groups()
    assert word == belief_words(probability, rulebook.numbers)
    if kind == "about":
        assert belief_words(int(figure) / 100, rulebook.numbers) == word
        assert abs(int(figure) / 100 - probability) < 0.05


@given(st.floats(-1e5, 1e5).filter(lambda value: abs(value) > 1e-4), st.floats(-1e5, 1e5))
def test_a_rounded_figure_stays_on_its_side_of_a_bound(rulebook, value, bound):
    said = value_words(rulebook, "wall-shape-fit", value, [bound])
    assert (float(said) >= bound) == (value >= bound)


@pytest.mark.parametrize(
    ("measure", "value", "said"),
    [
        ("surface-humidity-percent", 65.74, "66 %"),
        ("dew-point-margin-k", 6.418, "6.4 K"),
        ("wall-shape-fit", 0.9871, "0.99"),
        ("profile-fall-off-height-mm", 1012.4, "1010 mm above the floor"),
        ("pins-excess", 3.872, "3.9 times the smallest rise that counts as raised"),
        ("profile-heights", 7.0, "7 heights"),
    ],
)
def test_what_is_reckoned_is_given_to_two_figures_or_three(rulebook, measure, value, said):
    assert value_words(rulebook, measure, value) == said


def test_what_somebody_wrote_down_is_given_as_written(rulebook):
    assert value_words(rulebook, "wall-thickness-mm", 337.5) == "337.5 mm"


def test_a_value_just_short_of_its_bound_does_not_read_like_the_bound(rulebook):
    lack = Lack(Tested("surface-humidity-percent", "range", (80.0, None)), True, 79.96)
    assert lack_words(rulebook, lack).endswith(": 79.96 %; it would have to be at least 80 %")


def test_what_is_not_known_is_said_without_asking_that_it_be_known(rulebook):
    lack = Lack(Tested("high-outside-ground", "known"), True, None)
    assert lack_words(rulebook, lack).startswith("not known: ")
    assert "would have to be" not in lack_words(rulebook, lack)


def test_a_fact_of_the_area_spoken_of_does_not_name_the_area_again(rulebook):
    fact = Fact("tide-line-seen", "yes", Sureness.FAIRLY_SURE, origin="seen, Back room")
    assert fact_words(rulebook, fact, "Back room").endswith(": yes (seen, fairly sure)")
    assert fact_words(rulebook, fact).endswith(": yes (seen, Back room, fairly sure)")


def test_a_finding_that_a_check_rests_on_reads_as_a_finding(rulebook):
    assert fact_words(rulebook, Fact("core-wet", "absent")).startswith("not found: ")
    assert ": present" not in fact_words(rulebook, Fact("core-wet", "present"))


def test_a_clause_is_a_sentence_without_its_stop():
    assert sentence("a tide line") == "A tide line."
    assert clause("a tide line.") == "A tide line"
