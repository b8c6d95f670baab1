"""What a changed rule base moves in worked cases, and which rules the cases set off."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.case import read_case
from engine.errors import InvalidInput
from engine.opinion.casebook import case_files, fired_rules, own_casebook
from engine.opinion.comparing import POINTS, compare_results
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import weigh_with
from engine.rulebook import load_rulebook

DEMO = own_casebook() / "demo" / "raised-path.yaml"


@pytest.fixture
def with_records(tmp_path: Path):
    """The program's base with a few records replaced."""

    def changed(**files: str) -> Reasoner:
        for name, text in files.items():
            (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
        return Reasoner(load_rulebook([tmp_path], cache=False))

    return changed


def parameter(name: str, value: float, unit: str = "probability") -> str:
    return (
        f"- {{id: {name}, title: changed, topic: method, value: {value}, unit: {unit}, validity: here,"
        " source: [{source: judgement}]}\n"
    )


def test_a_base_moves_nothing_against_itself(reasoner):
    assert compare_results(reasoner, reasoner, [DEMO]) == ()


def test_a_higher_bar_moves_what_is_determined_and_no_probability(reasoner, with_records):
    moved = compare_results(reasoner, with_records(parameters=parameter("determined-at-least", 0.999999)), [DEMO])
    by_what = {one.what: one for one in moved}
    assert (by_what["determined"].before, by_what["determined"].after) == ("yes, cause", "no")
    assert not [what for what in by_what if what.startswith("probability")]
    assert {(one.case, one.area) for one in moved} == {("raised-path", "back-room")}


def test_probabilities_are_told_when_they_move_by_more_than_five_points_and_only_then(reasoner, with_records):
    other = with_records(parameters=parameter("leaning-cap-decibans", 1, "decibans"))
    told = {one.what for one in compare_results(reasoner, other, [DEMO]) if one.what.startswith("probability")}
    before, after = (
        {
            cause.id: cause.probability
            for cause in weigh_with(by, read_case(DEMO, vocabulary=by.rulebook), folder=DEMO.parent).areas[0].causes
        }
        for by in (reasoner, other)
    )
    far = {f"probability of {name}" for name in before if abs(before[name] - after[name]) * 100 > POINTS}
    assert told == far
    assert told


QUESTION = """\
- id: parrot-seen
  title: a parrot
  topic: method
  scope: area
  kind: yes-no
  prompt: Is there a parrot?
  how: Look.
  why: For the test.
  who: inspector
  effort: look
"""
PARROT = """\
format: 1
id: parrot
title: An invented house with a parrot
invented: true
dwelling: {title: invented house}
visits: [{id: only, on: 2026-01-15}]
areas: [{id: room, title: Room, facts: [{attribute: parrot-seen, value: yes, basis: seen}]}]
"""


def test_a_case_that_only_one_base_can_read_is_told_with_its_first_fault(reasoner, with_records, tmp_path_factory):
    path = tmp_path_factory.mktemp("cases") / "parrot.yaml"
    path.write_text(PARROT, encoding="utf-8")
    (one,) = compare_results(reasoner, with_records(questions=QUESTION), [path])
    assert (one.case, one.what, one.after) == ("parrot", "case", "can be read")
    assert one.before.startswith("cannot be read: ")
    assert "parrot-seen" in one.before


def test_a_case_that_neither_base_can_read_is_refused_with_its_faults(reasoner, tmp_path):
    path = tmp_path / "broken.yaml"
    path.write_text("format: 9\n", encoding="utf-8")
    with pytest.raises(InvalidInput, match="format"):
        compare_results(reasoner, reasoner, [path])


def test_the_rules_that_a_case_sets_off_are_the_written_ones_in_its_trace(reasoner):
    case = read_case(DEMO, vocabulary=reasoner.rulebook)
    fired = fired_rules(reasoner, [(case, DEMO.parent)])
    trace = {line.rule for area in weigh_with(reasoner, case, folder=DEMO.parent).areas for line in area.trace}
    assert fired == trace & reasoner.rulebook.rules.keys()
    strata = {reasoner.rulebook.rules[name].stratum for name in fired}
    assert {"readings", "patterns", "advice"} <= strata
    assert fired_rules(reasoner, []) == frozenset()


def test_the_programs_casebook_is_found_and_an_empty_folder_is_refused(tmp_path):
    assert DEMO in case_files()
    with pytest.raises(InvalidInput, match="a folder without a case file"):
        case_files([tmp_path])
    with pytest.raises(InvalidInput, match="no such folder"):
        case_files([tmp_path / "nowhere"])
