"""An old case is replayed with the rules that its digest names, or the user is told that they are not at hand."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
STRICTER = """\
- id: determined-at-least
  title: level at which a cause is determined
  topic: method
  value: 0.999999
  unit: probability
  validity: this firm only
  source: [{source: judgement}]
"""


@pytest.fixture
def home(tmp_path):
    """A user's own folders, a case, and a firm's records that make another base of the rules."""
    (tmp_path / "own" / "parameters").mkdir(parents=True)
    (tmp_path / "own" / "parameters" / "own.yaml").write_text(STRICTER, encoding="utf-8")
    (tmp_path / "visit.yaml").write_bytes(DEMO.read_bytes())
    return tmp_path


def dampwright(home, *arguments):
    return subprocess.run(
        [sys.executable, "-m", "cli", *map(str, arguments)],
        cwd=home,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "XDG_DATA_HOME": str(home / "data")},
        check=False,
    )


def test_a_pinned_case_is_replayed_to_the_byte_when_the_rules_have_changed(home):
    then = dampwright(home, "weigh", "visit.yaml", "--rules", "own", "--json")
    assert then.returncode == 0, then.stderr
    pinned = dampwright(home, "case", "pin", "visit.yaml", "--rules", "own", "--rules-archive", "archive")
    assert pinned.returncode == 0, pinned.stderr
    now = dampwright(home, "weigh", "visit.yaml", "--json")
    replayed = dampwright(home, "weigh", "visit.yaml", "--json", "--pinned", "--rules-archive", "archive")
    assert replayed.returncode == 0, replayed.stderr
    assert replayed.stdout == then.stdout
    assert now.stdout != then.stdout
    before, after = json.loads(then.stdout), json.loads(now.stdout)
    assert before["case"] == after["case"]
    assert not before["areas"][0]["determined"]
    assert after["areas"][0]["determined"]


def test_pinning_adds_one_line_to_a_case_and_nothing_else(home):
    before = (home / "visit.yaml").read_text(encoding="utf-8")
    digest = dampwright(home, "rules", "keep").stdout.strip()
    assert dampwright(home, "case", "pin", "visit.yaml").returncode == 0
    assert (home / "visit.yaml").read_text(encoding="utf-8") == before + f"weighed_with: {digest}\n"
    again = dampwright(home, "case", "pin", "visit.yaml")
    assert "already" in again.stderr
    assert dampwright(home, "rules", "kept").stdout.startswith(digest)


def test_a_recorded_opinion_names_the_rules_of_a_case_that_is_not_pinned(home):
    held = ("--held", "bridged-dpc", "--blind", "--sureness", "certain")
    done = dampwright(home, "challenge", "visit.yaml", *held, "--rules", "own")
    assert done.returncode == 0, done.stderr
    missing = dampwright(home, "weigh", "visit.yaml", "--pinned")
    assert missing.returncode == 3
    assert "no rule base of digest" in missing.stderr
    digest = dampwright(home, "rules", "keep", "--rules", "own").stdout.strip()
    replayed = dampwright(home, "weigh", "visit.yaml", "--pinned", "--json")
    assert json.loads(replayed.stdout)["rulebook"]["digest"] == digest


def test_a_base_that_is_not_at_hand_is_told_with_what_to_do(home):
    done = dampwright(home, "weigh", "visit.yaml", "--pinned-to", "0123456789ab")
    assert done.returncode == 3
    assert "no rule base of digest 0123456789ab" in done.stderr
    assert "dampwright rules keep" in done.stderr
    unnamed = dampwright(home, "weigh", "visit.yaml", "--pinned")
    assert unnamed.returncode == 3
    assert "dampwright case pin" in unnamed.stderr


def test_the_version_that_kept_the_rules_is_told_where_it_was_another(home):
    digest = dampwright(home, "rules", "keep", "--rules", "own", "--rules-archive", "archive").stdout.strip()
    (home / "archive" / digest / "kept-by.txt").write_text("0.0.7\n", encoding="utf-8")
    done = dampwright(home, "weigh", "visit.yaml", "--pinned-to", digest[:12], "--rules-archive", "archive")
    assert done.returncode == 0
    assert "kept by version 0.0.7" in done.stderr
