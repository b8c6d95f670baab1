"""Whatever is typed in a practice session: an answer, a choice, a command or an explanation; never a traceback."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cli.practising.understanding import (
    COMMANDS,
    Asked,
    Choose,
    Command,
    Misunderstood,
    causes_stated,
    matching,
    records_named,
    understand,
)
from engine.challenging.auditing import NOTHING
from engine.practising.asking import MEASUREMENTS
from engine.rulebook import load_rulebook

RULEBOOK = load_rulebook()
AWKWARD = [
    "", ";", ":", "?", "0", "-1", "999", "1 2 3", "1e9", "nan", "[bold]x[/]", "=1+1", "press", "press pins",
    "press pins at", "press pins 75", "press pins 75 at 0,3 m", "press pins x at 5", "press pins 75 along on",
    "press at on", "dry", "dry pins on nowhere", "check", "plan nowhere", "air now", "surface", "samples",
    "timber", "timber zzz", "loggers", "view", "view x", "view ground-rise 200",
    "view ground-rise 10, ground-rise 20", "none 50", "how", "how x", "catalogue", "catalogue zzz", "catalogue look",
    "list rain", "seen", "brief",
    "help", "\u202eyes", "水", "x" * 400, "conclude nothing", "tide line", "mould", "gutter 5", "a", "the of in",
]  # fmt: skip


@given(st.one_of(st.text(max_size=60), st.sampled_from(AWKWARD)), st.integers(0, 5))
def test_any_line_is_evidence_a_choice_a_command_or_explained(line, listed):
    meant = understand(line, RULEBOOK, tuple(list(RULEBOOK.questions)[:listed]))
    if isinstance(meant, Asked):
        assert all(request.kind == "question" or request.kind in MEASUREMENTS for request in meant.requests)
        assert all(request.name in RULEBOOK.questions for request in meant.requests if request.kind == "question")
    elif isinstance(meant, Choose):
        assert set(meant.questions) <= RULEBOOK.questions.keys()
    elif isinstance(meant, Command):
        assert meant.name in COMMANDS
    else:
        assert isinstance(meant, Misunderstood)
        assert meant.message


@given(st.text(max_size=60))
def test_any_conclusion_is_causes_with_shares_or_explained(line):
    found = causes_stated(line, RULEBOOK, "list")
    if isinstance(found, Misunderstood):
        assert found.message
    else:
        assert found.keys() <= RULEBOOK.causes.keys() | {NOTHING}
        assert all(0 <= share <= 1 for share in found.values())


@pytest.mark.parametrize(
    ("line", "stated"),
    [
        ("bridged 70, ground-rise 20 %", {"bridged-dpc": 0.7, "ground-rise": 0.2}),
        ("rising damp: 55,5 percent", {"ground-rise": 0.555}),
        ("none 80", {NOTHING: 0.8}),
        ("humid 90; rainwater 60", {"humid-air-condensation": 0.9, "rainwater-goods": 0.6}),
        ("technique 0", {"technique-or-instrument-fault": 0.0}),
    ],
)
def test_plain_ways_of_stating_causes_are_understood(line, stated):
    assert causes_stated(line, RULEBOOK, "list") == stated


@pytest.mark.parametrize("line", ["ground-rise", "ground-rise 101", "none 80, ground-rise 30", "salts 50", "zzz 5", ""])
def test_what_is_no_statement_is_explained(line):
    assert isinstance(causes_stated(line, RULEBOOK, "list"), Misunderstood)


def test_names_in_a_list_are_found_by_id_beginning_or_words_and_nothing_is_none():
    titles = {name: step.title for name, step in RULEBOOK.steps.items()}
    assert records_named("level-survey, lower outside", titles, "step", "steps") == (
        "level-survey",
        "lower-outside-ground",
    )
    assert records_named("none", titles, "step", "steps") == ()
    assert isinstance(records_named("ground", titles, "step", "steps"), Misunderstood)


@given(st.text(max_size=40))
def test_matching_only_gives_what_there_is(text):
    titles = {name: cause.title for name, cause in RULEBOOK.causes.items()}
    assert set(matching(text, titles)) <= titles.keys()


@pytest.mark.parametrize("seed", range(3))
def test_a_session_of_random_lines_goes_on_and_can_be_concluded(seed, practised):
    dice = random.Random(seed)
    case = ["raised-path", "plume-under-a-sill", "loggers-in-a-dormer"][seed]
    lines = [dice.choice(AWKWARD) for _ in range(60)]
    lines = [line for line in lines if not line.startswith(("conclude", "leave"))]
    code, out, err = practised(
        [*lines, "conclude", "zzz", "none 10", "zzz", "watch", "zzz zzz", "", "zzz zzz", ""], case
    )
    assert code == 0, err
    assert "How the opinion moved" in out
