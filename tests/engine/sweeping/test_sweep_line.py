"""One line in, one line out: the worker of a sweep as a pure function."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from engine.case import case_digest, read_case
from engine.opinion import weigh
from engine.rulebook import load_rulebook
from engine.sweeping import sweep_file, sweep_line
from engine.sweeping import working as worker
from tests.caseloads import BROKEN, small_case

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
LINE = json.dumps(small_case(1))


def test_the_same_line_gives_the_same_bytes_and_no_line_end_within():
    first = sweep_line(LINE)
    assert first == sweep_line(LINE)
    assert "\n" not in first
    assert json.loads(first)["case"]["id"] == "case-1"


def test_a_file_gives_what_weighing_it_gives():
    found = json.loads(sweep_file(DEMO))
    rulebook = load_rulebook()
    case = read_case(DEMO, vocabulary=rulebook)
    opinion = weigh(case, rulebook, folder=DEMO.parent)
    (row,), (area,) = found["areas"], opinion.areas
    assert found["state"] == "weighed"
    assert (found["case"]["digest"], found["rulebook"]) == (case_digest(case), rulebook.digest)
    assert [cause["id"] for cause in row["leading"]] == list(area.leading)
    causes = {cause.id: cause for cause in area.causes}
    for cause in row["leading"]:
        known = causes[cause["id"]]
        assert (cause["words"], cause["band"]) == (known.words, known.band)
        assert cause["probability"] == pytest.approx(known.probability, rel=1e-5)
    assert (row["determined"], row["level"], row["timber"]) == (area.determined, area.level, area.timber.words)
    assert [caution["id"] for caution in row["cautions"]] == [caution.id for caution in area.cautions]
    assert row["next_step"]["id"] == area.steps[0].id
    assert row["missing"] == [item.title for item in area.open_findings if item.bits >= worker.WORTH_BITS][:5]


def test_the_same_case_as_a_line_and_as_a_file_differs_only_by_its_key(tmp_path):
    path = tmp_path / "case.json"
    path.write_text(LINE, encoding="utf-8")
    of_line, of_file = json.loads(sweep_line(LINE)), json.loads(sweep_file(path))
    assert of_line.pop("key") != of_file.pop("key")
    assert of_line == of_file


def test_a_fault_names_the_line_the_field_and_what_is_allowed():
    found = json.loads(sweep_line(BROKEN, name="cases.jsonl", number=17))
    assert found["state"] == "fault"
    fields = {fault["field"]: fault for fault in found["faults"]}
    assert fields["dwelling"]["line"] == 17
    assert fields["dwelling"]["sentence"].startswith("cases.jsonl:17: dwelling: found no such field")


@pytest.mark.parametrize(
    "line",
    ["", "null", "[]", "{", '"text"', "{}" * 3, "[" * 10_000, '{"a":' * 5_000, "NaN", "\x00", "\ud800", '"\\ud800"',
     "1" * 5_000, '{"format": 1e999}', '{"format": 1, "format": 1}', "\ufeff{}", "é" * 100],
)  # fmt: skip
def test_whatever_the_line_holds_is_told_in_the_result(line):
    found = json.loads(sweep_line(line))
    assert found["state"] == "fault"
    assert found["faults"]
    assert "stumbled" not in found["faults"][0]["found"]


def test_many_faults_are_listed_up_to_a_bound_and_the_rest_counted():
    case = small_case(1)
    case["areas"][0]["facts"] = [{"attribute": f"no-such-{n}", "value": "yes", "basis": "seen"} for n in range(60)]
    found = json.loads(sweep_line(json.dumps(case)))
    assert len(found["faults"]) == worker.MOST_FAULTS
    assert found["more"] == 60 - worker.MOST_FAULTS


def test_a_file_that_is_not_there_or_is_a_folder_is_a_fault(tmp_path):
    for path in (tmp_path / "none.yaml", tmp_path):
        found = json.loads(sweep_file(path))
        assert (found["state"], found["key"]) == ("fault", None)


def test_what_the_program_itself_stumbles_over_is_told_and_stops_nothing(monkeypatch):
    def stumble(*args, **kwargs):
        raise ZeroDivisionError("a fault of the program")

    monkeypatch.setattr("engine.opinion.weighing.weigh_with", stumble)
    (fault,) = json.loads(sweep_line(LINE))["faults"]
    assert fault["found"] == "a case over which the program stumbled (ZeroDivisionError: a fault of the program)"


def test_the_files_that_a_case_names_are_told_by_their_digests():
    path = ROOT / "casebook" / "regression" / "logged-winter-in-a-small-flat.yaml"
    found = json.loads(sweep_file(path))
    assert found["beside"]
    assert all(len(digest) == 64 for digest in found["beside"].values())


def test_a_rule_base_that_is_not_sound_is_refused_at_once(tmp_path):
    from engine.errors import InvalidInput

    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "broken.yaml").write_text("- {id: no-such}\n", encoding="utf-8")
    with pytest.raises(InvalidInput):
        sweep_line(LINE, rules=[str(tmp_path)])
