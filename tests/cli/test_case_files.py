"""Photographs, redacting, sealing and migrating as a user meets them."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
LOGGED = ROOT / "casebook" / "regression" / "loggers-in-a-dormer.yaml"
DRAFT = ROOT / "tests" / "engine" / "case" / "formats" / "0-draft.yaml"
PICTURED = """\
# An invented house.
format: 1
id: pictured
title: A room with pictures
invented: true
dwelling: {title: invented house, address: "3 Plum Lane, Vexford, ZZ2 3XY"}
visits: [{id: only, on: 2026-01-15, by: Wilhelmina Thrupp}]
areas:
  - id: room
    title: Room of Wilhelmina Thrupp
    facts:
      # Nobody else's business.
      - {attribute: laundry-dried-indoors, value: yes, basis: told, private: true}
    photographs:
      - {file: photographs/wall.jpg, caption: The wall}  # from the door
      - file: photographs/stain.jpg
        caption: The stain  # close
      - {file: photographs/gone.jpg, caption: The floor}
"""


def dampwright(folder, *arguments):
    return subprocess.run(
        [sys.executable, "-m", "cli", *map(str, arguments)],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        check=False,
    )


@pytest.fixture
def visit(tmp_path):
    (tmp_path / "photographs").mkdir()
    for name, colour in (("wall", "grey"), ("stain", "brown")):
        data = Image.Exif()
        data[0x013B] = "Wilhelmina Thrupp"
        Image.new("RGB", (64, 48), colour).save(tmp_path / "photographs" / f"{name}.jpg", exif=data)
    path = tmp_path / "visit.yaml"
    path.write_text(PICTURED, encoding="utf-8")
    return path


def test_photographs_are_listed_recorded_and_a_changed_one_is_told(visit):
    listed = dampwright(visit.parent, "case", "photographs", "visit.yaml", "--record")
    assert listed.returncode == 5
    assert "photographs/wall.jpg: there; no digest recorded: room: The wall" in listed.stdout
    assert "photographs/gone.jpg: missing: room: The floor" in listed.stdout
    assert "visit.yaml: 2 digests recorded" in listed.stderr
    digests = [
        hashlib.sha256((visit.parent / "photographs" / name).read_bytes()).hexdigest()
        for name in ("wall.jpg", "stain.jpg")
    ]
    expected = PICTURED.replace("The wall}", f"The wall, sha256: {digests[0]}}}").replace(
        "The stain  # close\n", f"The stain  # close\n        sha256: {digests[1]}\n"
    )
    assert visit.read_text(encoding="utf-8") == expected
    shutil.copy(visit.parent / "photographs" / "wall.jpg", visit.parent / "photographs" / "stain.jpg")
    again = dampwright(visit.parent, "case", "photographs", "visit.yaml", "--json", "--record")
    states = {one["file"]: one["state"] for one in json.loads(again.stdout)}
    assert [states[f"photographs/{name}.jpg"] for name in ("wall", "stain", "gone")] == [
        "as-recorded",
        "changed",
        "missing",
    ]
    assert visit.read_text(encoding="utf-8") == expected
    assert "0 digests recorded" in again.stderr


def test_a_redacted_case_can_be_sent_and_what_is_left_is_shown(visit):
    done = dampwright(visit.parent, "case", "redact", "visit.yaml", "-o", "out/sent.yaml", "--photographs")
    assert done.returncode == 1, "the folder is not there"
    (visit.parent / "out").mkdir()
    done = dampwright(visit.parent, "case", "redact", "visit.yaml", "-o", "out/sent.yaml", "--photographs")
    assert done.returncode == 0, done.stderr
    said = " ".join(done.stdout.split())
    assert "a fact marked private (laundry-dried-indoors): areas[0].facts[0]" in said
    assert "the address, but the outward part of the postcode, ZZ2: dwelling.address" in said
    assert "areas[0].title: Room of [removed]" in said
    assert "What this cannot promise" in said
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "photographs/gone.jpg: is not there" in done.stderr
    sent = (visit.parent / "out" / "sent.yaml").read_text(encoding="utf-8")
    files = sorted((visit.parent / "out" / "sent-files").iterdir())
    assert [file.name for file in files] == ["photograph-1.jpg", "photograph-2.jpg"]
    for text in (sent, done.stdout, *(file.read_bytes().decode("latin-1") for file in files)):
        assert "Thrupp" not in text
        assert "Plum Lane" not in text
    checked = dampwright(visit.parent, "case", "photographs", "out/sent.yaml")
    assert checked.returncode == 0
    assert checked.stdout.count("as recorded") == 2


def test_a_private_fact_that_carried_weight_is_told_when_it_is_taken_out(visit):
    text = DEMO.read_text(encoding="utf-8")
    for name in ("high-outside-ground", "outside-ground-clearance-mm", "short-length-matches-outside", "wetter-side"):
        text = text.replace(f"attribute: {name},", f"attribute: {name}, private: true,")
    visit.write_text(text, encoding="utf-8")
    done = dampwright(visit.parent, "case", "redact", "visit.yaml", "-o", "sent.yaml")
    assert done.returncode == 0, done.stderr
    said = " ".join(done.stdout.split())
    assert "The opinion on the redacted case - back-room: probability of bridged-dpc: 100 % before" in said


def test_sealed_weighed_and_joined_again(tmp_path):
    done = dampwright(tmp_path, "case", "seal", LOGGED, "-o", "exercise.yaml", "--key", "key.json")
    assert done.returncode == 0, done.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == ["exercise-files", "exercise.yaml", "key.json"]
    text = (tmp_path / "exercise.yaml").read_text(encoding="utf-8")
    assert "dormer-cheek" in text
    assert "cold-spot" not in text
    assert "loggers-in-a-dormer" not in text
    sealed = json.loads(dampwright(tmp_path, "weigh", "exercise.yaml", "--json").stdout)
    worked = json.loads(dampwright(tmp_path, "weigh", LOGGED, "--json").stdout)
    for one, other in zip(sealed["areas"], worked["areas"], strict=True):
        assert one["causes"] == other["causes"]
    joined = dampwright(tmp_path, "case", "unseal", "exercise.yaml", "--key", "key.json", "-o", "worked.yaml")
    assert joined.returncode == 0, joined.stderr
    key = yaml.safe_load((tmp_path / "worked.yaml").read_text(encoding="utf-8"))["key"]
    assert key["areas"][0]["truth"] == ["cold-spot-condensation"]
    again = dampwright(tmp_path, "case", "seal", LOGGED, "-o", "other.yaml", "--key", "key.json")
    assert again.returncode == 1
    assert "already exists" in again.stderr
    assert not (tmp_path / "other.yaml").exists()
    nowhere = dampwright(tmp_path, "case", "seal", LOGGED, "-o", "nowhere/other.yaml", "--key", "other.json")
    assert nowhere.returncode == 1
    assert not (tmp_path / "other.json").exists()


def test_a_key_does_not_open_a_case_that_was_changed(tmp_path):
    dampwright(tmp_path, "case", "seal", DEMO, "-o", "exercise.yaml", "--key", "key.json")
    path = tmp_path / "exercise.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("value: spring", "value: autumn"), encoding="utf-8")
    done = dampwright(tmp_path, "case", "unseal", "exercise.yaml", "--key", "key.json", "-o", "worked.yaml")
    assert done.returncode == 3
    assert "the key belongs to that case as it was sealed" in done.stderr


def test_an_old_case_is_read_told_of_and_brought_up_to_date_with_a_backup(tmp_path):
    path = tmp_path / "old.yaml"
    text = DRAFT.read_text(encoding="utf-8").replace("tide-mark", "tide-line-seen")
    before = text.replace("      - {attribute: damp-height, value: 900, basis: measured}\n", "")
    path.write_text(before, encoding="utf-8")
    checked = dampwright(tmp_path, "case", "check", "old.yaml")
    assert checked.returncode == 0, checked.stderr
    assert "format 0 is read as format 1" in checked.stderr
    assert path.read_text(encoding="utf-8") == before
    for command in (("case", "pin", "old.yaml"), ("case", "photographs", "old.yaml", "--record")):
        refused = dampwright(tmp_path, *command)
        assert refused.returncode == 3
        assert "dampwright case migrate old.yaml" in refused.stderr
    done = dampwright(tmp_path, "case", "migrate", "old.yaml")
    assert done.returncode == 0, done.stderr
    after = path.read_text(encoding="utf-8")
    assert "format: 1  # the draft" in after
    assert "# As the owner said." in after
    assert (tmp_path / "old.yaml.format-0.backup").read_text(encoding="utf-8") == before
    assert "already" in dampwright(tmp_path, "case", "migrate", "old.yaml").stderr
    assert path.read_text(encoding="utf-8") == after


def test_a_starting_file_named_json_is_json(tmp_path):
    done = dampwright(tmp_path, "case", "make", "-o", "new.json")
    assert done.returncode == 0
    assert "no place for the comments" in done.stderr
    assert json.loads((tmp_path / "new.json").read_text(encoding="utf-8"))["format"] == 1
    assert dampwright(tmp_path, "case", "check", "new.json").returncode == 0
