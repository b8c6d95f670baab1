"""`challenge` as a user meets it: the audit, its names, and one's own conclusion recorded before anything is shown."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from engine.documents import read_document

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
TWO_AREAS = ROOT / "casebook" / "regression" / "loggers-in-a-let-terrace.yaml"


def dampwright(*arguments, stdin=subprocess.DEVNULL):
    return subprocess.run(
        [sys.executable, "-m", "cli", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        stdin=stdin,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        check=False,
    )


def challenge(*arguments, **keywords):
    return dampwright("challenge", *arguments, "--plain", **keywords)


def said(done):
    return " ".join(done.stdout.split())


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "visit.yaml"
    path.write_bytes(DEMO.read_bytes())
    return path


def added_lines(path):
    before, after = (file.read_text(encoding="utf-8").splitlines() for file in (DEMO, path))
    kept = [line for line in after if line in before]
    assert kept == before
    return [line.strip() for line in after if line not in before]


def test_a_conclusion_that_the_opinion_does_not_share_is_audited_in_sentences(case):
    done = challenge(case, "--held", "ground-rise")
    assert done.returncode == 0, done.stderr
    text = said(done)
    for part in (
        "The opinion differs: it calls rising damp from the ground very unlikely; it finds bridged damp-proof course",
        "Its weakest point.",
        "What it does not account for",
        "the depth of the wall is wetter towards the outside",
        "Bridged damp-proof course explains the same evidence better",
        "The checks that it needs",
        "Chemical damp-proof course cannot be undone and waits",
        "The cheapest test that would part it from its nearest rival",
        "Questions to its author",
        "says nothing of the person who concluded",
    ):
        assert part.lower() in text.lower(), part
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_a_conclusion_that_it_shares_is_agreed_with_and_its_weakest_point_named(case):
    text = said(challenge(case, "--held", "bridged-dpc"))
    assert "The opinion agrees: bridged damp-proof course is determined (very likely)." in text
    assert "Its weakest point." in text
    assert "What it does not account for" not in text
    assert "explains the same evidence better" not in text


def test_stated_grounds_are_weighed_alone(case):
    text = said(challenge(case, "--held", "ground-rise", "--grounds", "pins-high,base-band"))
    assert "What the stated grounds alone would support" in text
    assert "They do not tell it from bridged damp-proof course" in text


def test_json_holds_the_whole_audit_and_nothing_infinite(case):
    done = dampwright("challenge", case, "--held", "ground-rise", "--json")
    audit = json.loads(done.stdout, parse_constant=lambda name: pytest.fail(name))
    assert audit["verdict"] == "differs"
    assert {item["finding"] for item in audit["breaks"]} >= {"wetter-towards-outside"}


def test_unknown_names_are_listed_together_with_the_nearest(case):
    done = challenge(case, "--held", "ground-rize", "--grounds", "pins-hig")
    assert done.returncode == 3
    assert "did you mean 'ground-rise'?" in done.stderr
    assert "did you mean 'pins-high'?" in done.stderr


def test_of_several_areas_one_must_be_named():
    done = challenge(TWO_AREAS, "--held", "ground-rise")
    assert done.returncode == 2
    assert "sitting-room" in done.stderr
    assert challenge(TWO_AREAS, "siting-room", "--held", "ground-rise").returncode == 3
    assert challenge(TWO_AREAS, "sitting-room", "--held", "ground-rise").returncode == 0


def test_without_a_conclusion_there_is_nothing_to_audit(case):
    done = challenge(case)
    assert done.returncode == 2
    assert "--held" in done.stderr


def test_a_blind_conclusion_is_recorded_beside_the_opinion_and_then_audited(case):
    done = challenge(case, "--blind", "--held", "ground-rise", "--sureness", "fairly-sure")
    assert done.returncode == 0, done.stderr
    assert "The opinion differs: it calls rising damp" in done.stdout
    lines = added_lines(case)
    assert lines[:4] == ["conclusion:", "causes: [ground-rise]", "sureness: fairly-sure", "blind: true"]
    assert lines[4].startswith("opinion: {determined: true, leading: [bridged-dpc], rulebook: ")
    assert dampwright("case", "check", case).returncode == 0
    assert "rising damp from the ground" in said(challenge(case))


def test_a_recorded_conclusion_stays_unless_it_is_said_again_and_then_it_is_no_longer_blind(case):
    challenge(case, "--blind", "--held", "ground-rise", "--sureness", "certain")
    before = case.read_bytes()
    refused = challenge(case, "--blind", "--held", "bridged-dpc", "--sureness", "certain")
    assert refused.returncode == 1
    assert not refused.stdout
    assert case.read_bytes() == before
    assert challenge(case, "--blind", "--again", "--held", "bridged-dpc", "--sureness", "not-sure").returncode == 0
    lines = added_lines(case)
    assert lines[:3] == ["conclusion:", "causes: [bridged-dpc]", "sureness: not-sure"]
    assert not any(line.startswith("blind") for line in lines)


def test_a_signed_conclusion_is_never_replaced(case):
    text = case.read_text(encoding="utf-8")
    signed = "    conclusion: {causes: [bridged-dpc], signed_by: A. Surveyor, signed_on: 2026-11-20}\n"
    case.write_text(text.replace("    surfaces:\n", signed + "    surfaces:\n", 1), encoding="utf-8")
    assert dampwright("case", "check", case).returncode == 0
    before = case.read_bytes()
    done = challenge(case, "--blind", "--again", "--held", "ground-rise", "--sureness", "certain")
    assert done.returncode == 1
    assert "signed" in done.stderr
    assert case.read_bytes() == before


def test_without_a_terminal_nothing_is_asked_and_nothing_is_shown(case):
    before = case.read_bytes()
    for given in ((), ("--held", "ground-rise")):
        done = challenge(case, "--blind", *given)
        assert done.returncode == 2
        assert "terminal" in done.stderr
        assert not done.stdout
    assert case.read_bytes() == before


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
def test_on_a_terminal_causes_and_sureness_are_asked_until_they_can_be_read(case):
    here, there = os.openpty()
    try:
        os.write(here, b"rising\nground-rise, bridged-dpc\nvery\nnot sure\n")
        done = challenge(case, "--blind", stdin=there)
    finally:
        os.close(here)
        os.close(there)
    assert done.returncode == 0, done.stderr
    assert "bridged-dpc: bridged damp-proof course" in done.stderr
    assert done.stderr.count("How sure are you?") == 2
    assert added_lines(case)[1:3] == ["causes: [bridged-dpc, ground-rise]", "sureness: not-sure"]


def test_a_json_case_is_recorded_in_too(case, tmp_path):
    path = tmp_path / "visit.json"
    path.write_text(json.dumps(read_document(case).data), encoding="utf-8")
    done = challenge(path, "--blind", "--held", "no-active-damp", "--sureness", "certain")
    assert done.returncode == 0, done.stderr
    conclusion = json.loads(path.read_text(encoding="utf-8"))["areas"][0]["conclusion"]
    assert conclusion["blind"] is True
    assert "causes" not in conclusion
    assert "nothing wets this place now" in said(challenge(path))


def test_an_area_written_in_braces_is_left_as_it_is(tmp_path):
    path = tmp_path / "braces.yaml"
    path.write_text(
        "format: 1\nid: thin\ntitle: Thin\ndwelling: {title: House}\nvisits: [{id: only, on: 2026-01-15}]\n"
        "areas: [{id: room, title: Room}]\n",
        encoding="utf-8",
    )
    before = path.read_bytes()
    done = challenge(path, "--blind", "--held", "ground-rise", "--sureness", "certain")
    assert done.returncode == 1
    assert "left as it is" in done.stderr
    assert not done.stdout
    assert path.read_bytes() == before


def test_options_of_the_blind_mode_alone_are_refused(case):
    assert challenge(case, "--held", "ground-rise", "--again").returncode == 2
    assert challenge(case, "--held", "ground-rise", "--sureness", "certain").returncode == 2


def test_help_has_an_example():
    assert "Example: dampwright challenge" in dampwright("challenge", "--help").stdout
