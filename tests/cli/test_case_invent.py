"""`case invent` as a user meets it: a synthetic case in a new file, loggers beside it, wishes that cannot be met."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def dampwright(*arguments, folder):
    return subprocess.run(
        [sys.executable, "-m", "cli", *map(str, arguments)],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        check=False,
    )


def test_a_case_is_written_once_says_that_it_is_synthetic_and_can_be_weighed(tmp_path):
    command = ("case", "invent", "--seed", 3, "--cause", "bridged-dpc", "-o", "house.yaml")
    done = dampwright(*command, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout == ""
    assert "made by the program; no real house" in done.stderr
    text = (tmp_path / "house.yaml").read_text(encoding="utf-8")
    assert "no real house" in text
    assert "truth: [bridged-dpc]" in text
    again = dampwright(*command, folder=tmp_path)
    assert again.returncode == 1
    assert "already exists and is left as it is" in again.stderr
    assert (tmp_path / "house.yaml").read_text(encoding="utf-8") == text
    weighed = dampwright("weigh", "house.yaml", "--plain", folder=tmp_path)
    assert weighed.returncode == 0, weighed.stderr
    assert "An invented case." in weighed.stdout


def test_loggers_files_lie_beside_the_case_and_are_read_with_it(tmp_path):
    done = dampwright("case", "invent", "--seed", 4, "--loggers", "-o", "house.yaml", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    names = sorted(path.name for path in (tmp_path / "house-files").iterdir())
    assert names == ["outside-air.csv", "room-air.csv", "surface.csv", "void-air.csv"]
    weighed = dampwright("weigh", "house.yaml", "--json", folder=tmp_path)
    assert weighed.returncode == 0, weighed.stderr
    assert "surface-humid-by-log" in weighed.stdout or "surface-clear-by-log" in weighed.stdout


def test_a_case_can_be_printed_and_is_the_same_every_time(tmp_path):
    first, second = (dampwright("case", "invent", "--seed", 5, "-o", "-", folder=tmp_path) for _ in range(2))
    assert first.returncode == 0, first.stderr
    assert first.stdout == second.stdout
    assert first.stdout.startswith("format: 1\nid: synthetic-5\n")


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        (("--cause", "ground-rize"), "did you mean 'ground-rise'?"),
        (("--topic", "history"), "allowed: condensation"),
        (("--topic", "salts", "--cause", "ground-rise"), "not both"),
        (("--loggers",), "-o"),
    ],
)
def test_wishes_that_cannot_be_met_are_said_and_nothing_is_written(tmp_path, wishes, said):
    done = dampwright("case", "invent", "--seed", 1, *wishes, "-o", "-", folder=tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""
    assert list(tmp_path.iterdir()) == []
