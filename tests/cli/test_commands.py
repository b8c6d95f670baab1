"""The commands as a user meets them: output, messages, exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
UNINFORMATIVE = """\
format: 1
id: nothing-known
title: An invented house of which nothing is known
invented: true
dwelling: {title: invented house}
visits: [{id: only, on: 2026-01-15}]
areas: [{id: room, title: Room}]
"""


def dampwright(*arguments, folder=ROOT, **environment):
    return subprocess.run(
        [sys.executable, "-m", "cli", *map(str, arguments)],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="replace",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **environment},
        check=False,
    )


@pytest.fixture
def thin_case(tmp_path):
    path = tmp_path / "thin.yaml"
    path.write_text(UNINFORMATIVE, encoding="utf-8")
    return path


def test_bare_program_greets_and_says_what_it_is_and_is_not_for():
    done = dampwright()
    assert done.returncode == 0
    assert "reasoning partner" in done.stdout
    assert "does not replace an inspection" in done.stdout
    assert "dampwright demo" in done.stdout


def test_version_says_what_chains_the_rules():
    assert "rules are chained by" in dampwright("--version").stdout


@pytest.mark.parametrize(
    "command", [("weigh",), ("demo",), ("case", "check"), ("case", "schema"), ("case", "make"), ("rules", "check")]
)
def test_every_command_has_help_with_an_example(command):
    done = dampwright(*command, "--help")
    assert done.returncode == 0
    assert "Example: dampwright" in done.stdout


def test_demo_prints_an_opinion_with_cautions_first():
    done = dampwright("demo", "--plain")
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    headings = [name for name in lines if name in ("Cautions", "Causes", "Timber", "What to do next")]
    assert headings[0] == "Cautions"
    assert "An invented case." in lines
    assert max(map(len, lines)) <= 80
    assert "\x1b" not in done.stdout


def test_no_color_is_honoured():
    assert "\x1b" not in dampwright("demo", NO_COLOR="1", FORCE_COLOR="").stdout


def test_json_is_one_document_with_the_stated_parts():
    done = dampwright("weigh", DEMO, "--json")
    opinion = json.loads(done.stdout)
    assert {"rulebook", "case", "areas"} <= set(opinion)
    assert opinion["rulebook"]["digest"]
    assert opinion["case"]["digest"]
    area = opinion["areas"][0]
    named = {"id", "determined", "level", "leading", "causes", "mechanisms", "explanations", "unexplained"}
    named |= {"contested", "unknown", "timber", "steps", "cautions", "trace"}
    assert named <= set(area)
    assert {"id", "probability", "words", "reasons", "leanings"} <= set(area["causes"][0])
    assert done.stderr == ""


def test_the_same_case_and_rules_give_the_same_bytes():
    assert dampwright("weigh", DEMO, "--json").stdout == dampwright("weigh", DEMO, "--json", TZ="Asia/Tokyo").stdout


def test_nothing_known_ends_not_determined_and_names_no_cause(thin_case):
    done = dampwright("weigh", thin_case, "--json")
    area = json.loads(done.stdout)["areas"][0]
    assert done.returncode == 0
    assert not area["determined"]
    assert all(cause["probability"] < 0.66 for cause in area["causes"])
    assert area["why_not_determined"]


def test_strict_ends_with_4_when_an_area_is_not_determined(thin_case):
    assert dampwright("weigh", thin_case, "--strict").returncode == 4


def test_a_faulty_case_ends_with_3_and_lists_all_faults_on_standard_error(tmp_path):
    path = tmp_path / "faulty.yaml"
    path.write_text(
        UNINFORMATIVE.replace("format: 1", "format: 1\nroom: hall").replace("2026-01-15", "soon"), encoding="utf-8"
    )
    done = dampwright("weigh", path)
    assert done.returncode == 3
    assert done.stdout == ""
    assert "faulty.yaml:2: room: found" in done.stderr
    assert "visits[0].on: found" in done.stderr
    assert "2 faults" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_missing_file_is_said_in_a_line():
    done = dampwright("weigh", "no-such-file.yaml")
    assert done.returncode in (1, 3)
    assert "no-such-file.yaml" in done.stderr
    assert "Traceback" not in done.stderr


def test_an_unknown_command_ends_with_2():
    assert dampwright("wiegh").returncode == 2


def test_a_starting_file_is_a_sound_case_and_is_never_overwritten(tmp_path):
    path = tmp_path / "visit.yaml"
    assert dampwright("case", "make", "-o", path).returncode == 0
    assert dampwright("case", "check", path).returncode == 0
    before = path.read_bytes()
    done = dampwright("case", "make", "-o", path)
    assert done.returncode == 1
    assert "already exists" in done.stderr
    assert path.read_bytes() == before


def test_schema_is_json_and_holds_the_vocabulary():
    schema = json.loads(dampwright("case", "schema").stdout)
    assert schema["type"] == "object"
    assert "tide-line-seen" in json.dumps(schema)


def test_a_firms_own_records_override_the_rule_base(tmp_path):
    folder = tmp_path / "own" / "parameters"
    folder.mkdir(parents=True)
    (folder / "own.yaml").write_text(
        "- id: determined-at-least\n  title: level at which a cause is determined\n  topic: method\n  value: 0.999999\n"
        "  unit: probability\n  validity: this firm only\n  source: [{source: judgement}]\n",
        encoding="utf-8",
    )
    plain = json.loads(dampwright("weigh", DEMO, "--json").stdout)
    own = json.loads(dampwright("weigh", DEMO, "--json", "--rules", tmp_path / "own").stdout)
    assert plain["areas"][0]["determined"]
    assert not own["areas"][0]["determined"]
    assert plain["rulebook"]["digest"] != own["rulebook"]["digest"]


def test_user_text_is_shown_as_text_and_never_as_markup(tmp_path):
    path = tmp_path / "markup.yaml"
    path.write_text(UNINFORMATIVE.replace("title: Room", "title: '[bold red]Room[/] <b>'"), encoding="utf-8")
    assert "[BOLD RED]ROOM[/] <B>" in dampwright("weigh", path, "--plain").stdout


def test_a_console_that_lacks_characters_gets_stand_ins():
    done = dampwright("demo", PYTHONIOENCODING="cp1252")
    assert done.returncode == 0


def test_the_rule_base_is_sound():
    done = dampwright("rules", "check")
    assert done.returncode == 0, done.stdout
    assert "the rule base is sound" in done.stdout
