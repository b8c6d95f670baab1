"""`case diff` as a user meets it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"


def case_diff(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "cli", "case", "diff", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        check=False,
    )


@pytest.fixture
def files(tmp_path):
    """One inspector's file on the demonstration house, and another's who saw and measured otherwise."""
    text = DEMO.read_text(encoding="utf-8")
    text = text[: text.index("\nkey:") + 1]
    one, other = tmp_path / "mine.yaml", tmp_path / "theirs.yaml"
    one.write_text(text, encoding="utf-8")
    text = text.replace("short-length-matches-outside, value: yes", "short-length-matches-outside, value: no")
    text = text.replace("tide-line-seen, value: yes, basis: seen", "tide-line-seen, value: yes, basis: told")
    text = text.replace("attribute: wetter-side, value: outside", "attribute: musty-smell-noticed, value: no")
    text = text.replace("value: 11.1, repeats: [11.6, 11.5]", "value: 21.1, repeats: [20.6, 21.5]")
    other.write_text(text, encoding="utf-8")
    return one, other


def test_what_differs_and_what_it_does_to_the_opinion_is_said_in_sentences(files):
    done = case_diff(*files, "--plain")
    assert done.returncode == 0, done.stderr
    text = " ".join(done.stdout.split())
    for part in (
        "What the opinion says of each",
        "bridged damp-proof course, still very likely, though less so",
        "Recorded differently - a short low length that matches something outside (Back room, garden wall): first, yes "
        "(measured); second, no (measured)",
        "The same, on another basis - a tide line across the wall",
        "Recorded by the first alone - which side of the wall is wetter in its depth",
        "Recorded by the second alone - a musty or earthy smell",
        "pins at 300 mm across, 300 mm up: 11.5 in the first, 21.1 in the second, which is beyond noise",
    ):
        assert part.lower() in text.lower(), part
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_a_file_beside_itself_differs_in_nothing(files):
    done = case_diff(files[0], files[0], "--plain")
    assert "Nothing that both files could record differs between them." in done.stdout


def test_a_press_that_differs_by_its_scatter_is_said_to_be_the_same(files):
    text = files[0].read_text(encoding="utf-8")
    files[1].write_text(
        text.replace("value: 11.1, repeats: [11.6, 11.5]", "value: 11.4, repeats: [11.5, 11.2]"), "utf-8"
    )
    done = case_diff(*files, "--plain")
    text = " ".join(done.stdout.split())
    assert "96 in the first, 96 in the second; alike but for their scatter" in text
    assert "One set of measurements differs by no more than readings scatter, and is taken for the same." in text


def test_json_holds_facts_readings_and_effects(files):
    done = case_diff(*files, "--json")
    found = json.loads(done.stdout)
    assert {item["attribute"]: item["kind"] for item in found["facts"]} == {
        "musty-smell-noticed": "only-second",
        "short-length-matches-outside": "value",
        "tide-line-seen": "basis",
        "wetter-side": "only-first",
    }
    assert [(item["kind"], len(item["apart"])) for item in found["data"]] == [("readings", 1)]
    assert found["effects"]


def test_the_faults_of_both_files_are_listed(files):
    for path in files:
        path.write_text(path.read_text(encoding="utf-8").replace("value: solid-brick", "value: solid-brik"), "utf-8")
    done = case_diff(*files)
    assert done.returncode == 3
    assert "mine.yaml" in done.stderr
    assert "theirs.yaml" in done.stderr
    assert done.stderr.count("did you mean 'solid-brick'?") == 2


def test_help_has_an_example():
    assert "Example: dampwright case diff" in case_diff("--help").stdout
