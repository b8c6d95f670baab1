"""`explain` as a user meets it: sections of sentences, JSON, suppositions refused with the nearest name."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"


def explain(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "cli", "explain", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        check=False,
    )


@pytest.fixture(scope="module")
def plain():
    return explain(DEMO, "--plain", "--seed", 5)


def test_it_gives_the_verdict_why_how_sure_and_what_does_not_fit(plain):
    assert plain.returncode == 0, plain.stderr
    headings = ["The verdict", "Why: bridged damp-proof course", "How sure", "What does not fit"]
    places = [plain.stdout.index(f"\n{heading}\n") for heading in headings]
    assert places == sorted(places)
    assert "The inspector concludes and signs." in plain.stdout


def test_the_seed_of_the_shaking_is_told(plain):
    assert "seed 5" in " ".join(plain.stdout.split())


def test_json_holds_the_data_and_the_sentences_and_is_the_same_every_time():
    once, again = (explain(DEMO, "back-room", "--why-not", "ground-rise", "--json") for _ in range(2))
    assert once.stdout == again.stdout
    (area,) = json.loads(once.stdout)["areas"]
    assert area["why_not"]["cause"] == "ground-rise"
    assert [section["heading"] for section in area["sections"]] == ["Why not: rising damp from the ground"]
    assert area["how_sure"] is None


def test_a_cause_alone_is_taken_as_the_cause():
    assert "Why: rain through the wall" in explain(DEMO, "rain-through-wall", "--why-not", "flue-salts").stdout


def test_what_if_stands_beside_the_opinion_and_leaves_the_file_alone():
    before = DEMO.read_bytes()
    done = explain(DEMO, "--plain", "--if", "tide-line-seen=no", "--rather", "bridged-dpc", "ground-rise")
    assert done.returncode == 0, done.stderr
    text = " ".join(done.stdout.split())
    assert "A tide line across the wall [tide-line-seen]: no instead of yes." in text
    assert "Why bridged damp-proof course rather than rising damp from the ground" in text
    assert DEMO.read_bytes() == before


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("back-rom",), "did you mean 'back-room'"),
        (("back-room", "bridged-dcp"), "did you mean 'bridged-dpc'"),
        (("--why-not", "ground-ris"), "did you mean 'ground-rise'"),
        (("--rather", "bridged-dpc", "ground-ris"), "did you mean 'ground-rise'"),
        (("--if", "tide-line-sen=yes"), "did you mean 'tide-line-seen'"),
        (("--if", "storey=ground-flor"), "did you mean 'ground-floor'"),
    ],
)
def test_names_that_are_not_known_are_refused_with_the_nearest(arguments, said):
    done = explain(DEMO, *arguments)
    assert done.returncode == 3
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
