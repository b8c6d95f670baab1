"""Sessions of random lines, legal and not: no traceback, no dead end, the case always sound, nothing lost.

Some hundreds of turns here; with DAMPWRIGHT_SOAK=1 many thousands.
"""

from __future__ import annotations

import os
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cli.interview.understanding import COMMANDS, Command, Misunderstood, choices, understand
from engine.case import read_case
from engine.inquiry.session import Answer
from engine.rulebook import load_rulebook

SOAK = bool(os.environ.get("DAMPWRIGHT_SOAK"))
RUNS, TURNS = (40, 250) if SOAK else (4, 90)
QUESTIONS = load_rulebook().questions
AWKWARD = [
    "", " ", ";", ";;x", ":", ":stop it", "?", "??", "0", "-1", "999", "1e9", "nan", "inf", "[bold]x[/]", "=1+1",
    "yes yes", "1,5", "0,3 m", "300-450 mm", "about 300", "unknown; why not", "n/a", "none of these", "no?", "certain",
    "\u202eyes", "水", "x" * 400, "yes; " + "n" * 300, "back", "change", "change nothing-such", "change storey",
    "list",    "list rain", "so far", "what if 1", "what if", "what if why", "note", "note a remark: 'quoted' #5",
    "later",
    "topics", "open", "open rain", "area", "area nowhere", "readings", "readings pins 0:28 75:30 at 500",
    "readings nothing.csv",
    "readings pins", "dry pins 11 12", "dry", "air 19.5 C 54%", "air wet", "surface 13,2 C", "surface",
    "help", "why", "how",
]  # fmt: skip


class Dice:
    """Types random lines; every so often an answer that fits."""

    typed = False

    def __init__(self, seed: int, turns: int) -> None:
        self.dice, self.turns, self.read = random.Random(seed), turns, 0
        self.interview = None

    def next(self, prompt: str = "> ") -> str | None:
        """The next line; None when the turns are used up."""
        self.read += 1
        if self.read > self.turns:
            return None
        if self.dice.random() < 0.5:
            return self.dice.choice(AWKWARD)
        offered = choices(QUESTIONS[self.interview.current])
        return self.dice.choice([word for word, _ in offered] or ["100"]) + self.dice.choice(
            ["", "", ", not sure", "?"]
        )


@pytest.mark.parametrize("seed", range(RUNS))
def test_whatever_is_typed_the_session_goes_on_and_the_case_is_sound(
    seed, interviews, reasoner, worked, rulebook, tmp_path, capsys
):
    case = worked(
        ["raised-path", "plume-under-a-sill", "new-windows-in-a-cold-flat", "vinyl-on-an-old-floor"][seed % 4]
    )
    path = interviews.begun(tmp_path / "visit.yaml", case, rulebook)
    used = 0
    while used < TURNS:
        dice = Dice(seed * 1000 + used, TURNS - used)
        store, interview = interviews.opened(path, reasoner, dice, depth="quick" if seed % 2 else "full")
        with store:
            code = interview.run()
        assert code in (0, 5)
        assert interview.asked == list(dict.fromkeys(interview.asked))
        read_case(path, vocabulary=rulebook)
        if not dice.read:
            break
        used += dice.read
    capsys.readouterr()
    written = read_case(path, vocabulary=rulebook)
    for place in (written.dwelling, *written.visits, *written.areas):
        named = [(fact.attribute, fact.visit) for fact in place.facts]
        assert len(set(named)) == len(named)


@given(st.sampled_from(sorted(QUESTIONS)), st.one_of(st.text(max_size=60), st.sampled_from(AWKWARD)))
def test_any_line_is_an_answer_that_the_vocabulary_allows_a_command_or_is_explained(name, line):
    question = QUESTIONS[name]
    meant = understand(line, question)
    if isinstance(meant, Command):
        assert meant.name in COMMANDS
    elif isinstance(meant, Misunderstood):
        assert meant.message
    else:
        allowed = {word for word, _ in choices(question)} | {"unknown", "not-applicable", "not-inspected"}
        assert isinstance(meant, Answer)
        assert meant.value in allowed or (question.kind == "number" and question.minimum <= meant.value)


@pytest.mark.parametrize(
    ("line", "value", "sureness"),
    [
        ("1", "yes", "certain"),
        ("y", "yes", "certain"),
        ("ye", "yes", "certain"),
        ("No, fairly sure", "no", "fairly-sure"),
        ("no (not sure)", "no", "not-sure"),
        ("yes?", "yes", "not-sure"),
        ("don't know", "unknown", "certain"),
        ("n/a", "not-applicable", "certain"),
        ("none of these", "unknown", "certain"),
    ],
)
def test_plain_ways_of_answering_are_understood(line, value, sureness):
    meant = understand(line, QUESTIONS["tide-line-seen"])
    assert (meant.value, meant.sureness) == (value, sureness)


def test_letters_numbers_and_beginnings_choose_and_what_could_be_two_is_asked_back():
    storey = QUESTIONS["storey"]
    assert understand("b", storey).value == understand("2", storey).value == understand("ground", storey).value
    assert isinstance(understand("an", QUESTIONS["wall-position"]), Misunderstood)


def test_a_range_across_a_line_of_the_rules_is_not_sure_and_is_kept_as_a_note():
    question = QUESTIONS["outside-ground-clearance-mm"]
    meant = understand("100-200 mm; by the door", question, (150.0,))
    assert (meant.value, meant.sureness) == (150, "not-sure")
    assert meant.note == "between 100 and 200 mm; by the door"
    assert understand("160-200 mm", question, (150.0,)).sureness == "certain"
