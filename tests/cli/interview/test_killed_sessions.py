"""A session that is killed loses no answer and takes none twice.

Six points here; with DAMPWRIGHT_SOAK=1 after every answer of the run.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from engine.case.journal import entries

ROOT = Path(__file__).parents[3]
ANSWERS = 20
POINTS = range(1, ANSWERS) if os.environ.get("DAMPWRIGHT_SOAK") else (1, 4, 8, 12, 16, 19)
pytestmark = pytest.mark.skipif(os.name == "nt", reason="no SIGKILL there")


def started(path):
    return subprocess.Popen(
        [sys.executable, "-u", "-m", "cli", "ask", str(path), "--plain", "--author", "tester"],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
    )


def prompt(process):
    """Read up to the question that waits for an answer; its first line."""
    question = ""
    while line := process.stdout.readline():
        if line[:1].isdigit():
            question = line
        if question and line.startswith("   ") and ("1 " in line or "a number" in line):
            return question
    return question


def answer(process, question, given):
    line = "unknown" if given % 3 == 2 else "1"
    process.stdin.write(f"{line}\n")
    process.stdin.flush()


def run(path, count, first=0, *, kill=False):
    """Give some answers; then kill the session as soon as the next question is asked, or leave it."""
    process = started(path)
    for given in range(first, first + count):
        answer(process, prompt(process), given)
    prompt(process)
    if kill:
        process.send_signal(signal.SIGKILL)
    else:
        process.stdin.write("stop\n")
        process.stdin.flush()
    process.stdin.close()
    process.stdout.read()
    process.stdout.close()
    process.wait()


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory, interviews, rulebook, worked):
    path = interviews.begun(tmp_path_factory.mktemp("whole") / "visit.yaml", worked("raised-path"), rulebook)
    run(path, ANSWERS)
    return path.read_text(encoding="utf-8"), [entry.attribute for entry in entries(path)]


@pytest.mark.parametrize("point", POINTS)
def test_a_session_killed_after_an_answer_goes_on_as_if_it_had_not_been(
    point, undisturbed, tmp_path, interviews, rulebook, worked
):
    path = interviews.begun(tmp_path / "visit.yaml", worked("raised-path"), rulebook)
    run(path, point, kill=True)
    assert [entry.attribute for entry in entries(path)] == undisturbed[1][:point]
    run(path, ANSWERS - point, point)
    attributes = [entry.attribute for entry in entries(path)]
    assert len(set(attributes)) == len(attributes) == ANSWERS


@pytest.mark.parametrize("point", POINTS)
def test_a_session_killed_while_it_saves_keeps_every_earlier_answer(point, tmp_path, interviews, rulebook, worked):
    path = interviews.begun(tmp_path / "visit.yaml", worked("raised-path"), rulebook)
    process = started(path)
    for given in range(point):
        answer(process, prompt(process), given)
    process.send_signal(signal.SIGKILL)
    process.stdin.close()
    process.stdout.close()
    process.wait()
    run(path, 1, 1)
    attributes = [entry.attribute for entry in entries(path)]
    assert len(set(attributes)) == len(attributes) >= point
