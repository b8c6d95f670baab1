"""`dampwright rules show`, `rules list` and `rules draw` as a user meets them."""

from __future__ import annotations

import json
import re

import pytest
from typer.testing import CliRunner

from cli.main import app


def run(*arguments):
    return CliRunner().invoke(app, ["rules", *arguments])


def said(*arguments):
    done = run(*arguments, "--plain")
    assert done.exit_code == 0, done.stderr
    return " ".join(done.stdout.split())


def test_a_cause_is_shown_with_its_findings_leanings_gate_and_steps():
    text = said("show", "ground-rise")
    assert "Findings that speak for it" in text
    assert "dB] when found" in text
    assert "Findings that speak against it" in text
    assert "Rules that lean or exclude" in text
    assert "gate:" in text
    assert "steps that part it from others" in text


def test_a_finding_is_shown_with_what_observes_it_and_its_causes_in_words_and_numbers():
    text = said("show", "black-mould")
    assert "[black-mould-seen]: yes means present" in text
    told = r"\[humid-air-condensation\]: [a-z ]+ \(0\.\d+\), otherwise [a-z ]+ \(0\.\d+\); \[\+\d+\.\d dB\] when found"
    assert re.search(told, text)


def test_a_rule_is_shown_with_its_condition_conclusion_examples_and_place():
    text = said("show", "salt-test-positive-means-hygroscopic")
    assert "written at rulesets/rules/salts.yaml:" in text
    assert "all of these hold" in text
    assert re.search(r"finds [a-z ]+ \[hygroscopic-salts\]: present \(fairly sure\)", text)
    assert "must not fire on" in text


def test_a_firms_record_says_which_record_it_replaces(tmp_path):
    (tmp_path / "parameters").mkdir()
    (tmp_path / "parameters" / "own.yaml").write_text(
        "- {id: likely, title: own level, topic: method, value: 0.7, unit: probability, validity: here,"
        " source: [{source: judgement}]}\n",
        encoding="utf-8",
    )
    done = run("show", "likely", "--plain", "--rules", str(tmp_path))
    assert "own.yaml:1" in "".join(done.stdout.split())
    assert "replacestherecordatrulesets/parameters/" in "".join(done.stdout.split())


def test_an_unknown_id_ends_with_3_and_names_the_nearest():
    done = run("show", "tideline")
    assert done.exit_code == 3
    assert "near it: tide-line" in done.stderr
    assert done.stdout == ""


def test_an_unknown_id_finds_records_by_the_words_of_their_titles():
    done = run("show", "tide line wall")
    assert done.exit_code == 3
    assert "near it: tide-line" in done.stderr


def test_json_holds_the_record_and_both_directions_of_reference():
    data = json.loads(run("show", "tide-line", "--json").stdout)
    assert data["kind"] == "finding"
    assert data["record"]["id"] == "tide-line"
    assert data["referred_to_by"]["steps that settle it"]
    assert "ground-rise" in data["refers_to"]["causes"]
    assert {"finding", "cause", "word", "probability", "decibans_when_found"} <= set(data["strengths"][0])


def test_a_list_holds_ids_and_titles_of_a_kind_and_topic():
    text = said("list", "causes", "--topic", "salts")
    assert "residual-salts" in text
    assert "ground-rise" not in text
    rows = json.loads(run("list", "--json").stdout)
    assert {"causes", "findings", "rules", "duties", "bank_holidays"} <= {row["kind"] for row in rows}


@pytest.mark.parametrize(
    ("arguments", "hint"), [(("list", "finding"), "'findings'"), (("list", "--topic", "salt"), "'salts'")]
)
def test_an_unknown_kind_or_topic_ends_with_3_and_names_the_nearest(arguments, hint):
    done = run(*arguments)
    assert done.exit_code == 3
    assert f"did you mean {hint}?" in done.stderr


def test_a_map_is_written_as_svg_or_as_mermaid_text_by_the_name_of_the_file(tmp_path):
    for name, start in (("salts.svg", "<svg "), ("salts.mmd", "%% Salts")):
        done = run("draw", "--topic", "salts", "-o", str(tmp_path / name))
        assert done.exit_code == 0, done.stderr
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(start)
        assert "records" in done.stderr
        assert done.stdout == ""


def test_a_map_of_another_suffix_is_a_usage_fault_and_nothing_is_written(tmp_path):
    done = run("draw", "-o", str(tmp_path / "map.png"))
    assert done.exit_code == 2
    assert not list(tmp_path.iterdir())


def test_a_map_of_an_unknown_cause_ends_with_3_and_names_the_nearest(tmp_path):
    done = run("draw", "--cause", "ground-rize", "-o", str(tmp_path / "map.svg"))
    assert done.exit_code == 3
    assert "did you mean 'ground-rise'?" in done.stderr


@pytest.mark.parametrize("command", ["check", "show", "list", "draw", "diff"])
def test_every_rules_command_has_help_with_an_example(command):
    done = run(command, "--help")
    assert done.exit_code == 0
    assert f"Example: dampwright rules {command}" in done.stdout
