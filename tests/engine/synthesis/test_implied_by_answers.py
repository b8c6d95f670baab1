"""What single answers imply, by the rules themselves: the findings they settle, where they lean, what they rule out."""

from __future__ import annotations

import pytest

from engine import load_rulebook
from engine.inference.facts import Fact
from engine.inquiry.answers import AnswerBook
from engine.synthesis.implying import Implications, Implied


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook()


@pytest.fixture(scope="module")
def implications(rulebook):
    return Implications(rulebook)


def test_an_answer_settles_at_least_what_observed_by_says_of_it(rulebook, implications):
    for question, findings in AnswerBook(rulebook).settles.items():
        for finding, states in findings.items():
            for answer, state in states.items():
                assert state in implications.of_answer(question, answer).states[finding]


def test_leanings_are_those_of_the_rules_that_one_answer_alone_sets_off(rulebook, implications):
    implied = implications.of_answer("gutter-defect-in-line", "yes")
    assert implied.leanings["rainwater-goods"] == rulebook.word("leaning", "strongly-for")
    assert not implied.states


def test_an_answer_that_rules_a_cause_out_never_goes_with_it(implications):
    implied = implications.of_answer("floor-construction", "suspended-timber")
    assert implied.tilt(frozenset({"slab-no-membrane"})) == 0
    assert implied.tilt(frozenset({"unventilated-floor-void"})) > 0


def test_the_tilt_is_the_product_of_the_leanings_of_the_causes_at_work():
    implied = Implied({}, {"one": 10.0, "two": -3.0, "three": 6.0}, frozenset({"four"}))
    assert implied.tilt(frozenset()) == 1
    assert implied.tilt(frozenset({"one", "two"})) == pytest.approx(10**0.7)
    assert implied.tilt(frozenset({"one", "four"})) == 0


def test_agreement_counts_what_comes_out_as_wanted_and_what_does_not_or_is_contested():
    both = frozenset({"present", "absent"})
    implied = Implied({"a": frozenset({"present"}), "b": frozenset({"absent"}), "c": both}, {}, frozenset())
    assert implied.agreement({"a": "present", "b": "present", "c": "present", "d": "absent"}) == (1, 2)


def test_facts_known_besides_are_used_but_set_off_no_rule_of_their_own(implications):
    known = {"tide-line-seen": Fact("tide-line-seen", "yes")}
    assert "tide-line" not in implications.of({}, known).states
    assert "tide-line" in implications.of(known).states
