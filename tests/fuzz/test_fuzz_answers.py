"""What is typed at a prompt, damaged or at random: understood, or answered with what would have been understood."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cli.interview.understanding import COMMANDS, Command, Misunderstood, command, sureness_of, understand
from engine.case.numerals import NotANumber
from engine.inquiry.measured import typed_air, typed_column, typed_presses
from engine.inquiry.quantities import quantity
from engine.inquiry.session import Answer
from engine.rulebook import load_rulebook
from tests.fuzzing import TEXTS, damaged_text, examples, text_damage, told, watched

QUESTIONS = load_rulebook().questions
TYPED = [
    "yes", "no, fairly sure", "unknown", "n/a", "300 mm", "0,3 m", "12 C", "54%", "about 300", "300-450 mm", "1", "2.5",
    "between 30 and 45 cm", "why", "what if yes", "change wall-construction", "note it stinks",
    "readings pins 0:28 at 500",
    "pins 0:28 75:30/29 150:26 at 500", "dry pins 11 11,5 12", "air 19,5 C 54%", "54 % 19.5 °C", "pins 11 12", "-5",
    "none of these", "3 years", "2 weeks", "20 ft", "14 in", "not sure", "(certain)", "yes (not sure)",
]  # fmt: skip
LINES = st.one_of(
    st.builds(damaged_text, st.sampled_from(TYPED), text_damage),
    st.lists(st.one_of(st.sampled_from(TYPED), st.sampled_from(TEXTS), st.text(max_size=5)), max_size=4).map(" ".join),
    st.text(max_size=60),
    st.text(st.sampled_from("0123456789.,-–+~% :/mctoandf°"), max_size=40),
)


@pytest.fixture(scope="module", autouse=True)
def _counted():
    yield
    told()


@examples(600, 20_000)
@given(line=LINES, name=st.sampled_from(sorted(QUESTIONS)))
def test_any_line_is_an_answer_a_command_or_told_what_would_be_understood(line, name):
    with watched("answers"):
        meant = understand(line, QUESTIONS[name])
        if isinstance(meant, Answer):
            known = {choice.id for choice in QUESTIONS[name].choices}
            assert isinstance(meant.value, float) or meant.value in known | {
                "yes", "no", "unknown", "not-applicable", "not-inspected", "other", "present", "absent",
            }  # fmt: skip
        elif isinstance(meant, Command):
            assert meant.name in COMMANDS
        else:
            assert isinstance(meant, Misunderstood)
            assert meant.message
        command(line)
        sureness_of(line)


@examples(400, 10_000)
@given(line=LINES, unit=st.sampled_from(["mm", "°C", "%", "months", None, "years"]))
def test_any_quantity_is_a_number_or_told_to_be_none(line, unit):
    with watched("quantities"):
        for read in (lambda: quantity(line, unit), lambda: typed_column(line), lambda: typed_presses(line)):
            found_or_told(read)
        found_or_told(lambda: typed_air(line))


def found_or_told(read):
    told_of = []
    try:
        read()
    except NotANumber as fault:
        told_of.append(fault.found)
    assert all(told_of)
