"""`dampwright rules diff` and `rules check --casebook` as a user meets them."""

from __future__ import annotations

import json
import re
import shutil

import pytest
from typer.testing import CliRunner

from cli.main import app
from engine.opinion.casebook import own_casebook
from engine.rulebook.loading import own_folder


@pytest.fixture
def other(tmp_path):
    """A copy of the program's rule base, to change at will."""
    return shutil.copytree(own_folder(), tmp_path / "other")


@pytest.fixture
def demo():
    return str(own_casebook() / "demo")


def diff(old, new, *arguments):
    return CliRunner().invoke(app, ["rules", "diff", str(old), str(new), *arguments])


def test_a_base_against_its_copy_differs_in_nothing_and_ends_with_0(other, demo):
    done = diff(own_folder(), other, "--cases", demo, "--plain")
    assert done.exit_code == 0, done.stderr
    assert "Records that differ: 0" in done.stdout
    assert "Results that move, over 1 cases: 0" in done.stdout


def test_a_change_of_wording_differs_and_moves_nothing_and_ends_with_0(other, demo):
    path = other / "findings" / "ground-moisture.yaml"
    text = path.read_text(encoding="utf-8")
    titled = text.replace("- id: tide-line\n  title: ", "- id: tide-line\n  title: plainly ", 1)
    assert titled != text
    path.write_text(titled, encoding="utf-8")
    done = diff(own_folder(), other, "--cases", demo, "--plain")
    assert "Records that differ: 1" in done.stdout
    assert "changed: finding tide-line" in done.stdout
    assert done.exit_code == 0


def test_a_change_that_moves_a_result_ends_with_1_and_says_what_it_was_and_is(other, demo):
    path = other / "parameters" / "method.yaml"
    text = path.read_text(encoding="utf-8")
    changed = re.sub(r"(- id: determined-at-least\n(?:  .*\n)*?  value: )[\d.]+", r"\g<1>0.999999", text, count=1)
    assert changed != text
    path.write_text(changed, encoding="utf-8")
    done = diff(own_folder(), other, "--cases", demo, "--plain")
    assert done.exit_code == 1
    assert "determined: yes, cause → no" in done.stdout
    data = json.loads(diff(own_folder(), other, "--cases", demo, "--json").stdout)
    assert [record["id"] for record in data["records"]] == ["determined-at-least"]
    assert {"case", "area", "what", "before", "after"} == set(data["moved"][0])


def test_a_folder_that_is_no_rule_base_ends_with_3(tmp_path, demo):
    done = diff(own_folder(), tmp_path / "nowhere", "--cases", demo)
    assert done.exit_code == 3
    assert "no such folder" in done.stderr


def test_rules_that_no_case_fires_are_listed_with_their_share(monkeypatch, demo):
    monkeypatch.setattr("engine.opinion.casebook.own_casebook", lambda: own_casebook() / "demo")
    done = CliRunner().invoke(app, ["rules", "check", "--casebook"])
    assert done.exit_code == 0
    count = len(re.findall(r"^rulesets/\S+: \S+: no case of the casebook fires it$", done.stdout, re.MULTILINE))
    summary = re.search(r"rules that no case of the casebook fires: (\d+) of (\d+) \((\d+) %\), 1 cases", done.stdout)
    assert summary
    silent, rules, share = map(int, summary.groups())
    assert count == silent
    assert share == round(100 * silent / rules)
