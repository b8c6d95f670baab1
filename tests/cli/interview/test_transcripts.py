"""Whole sessions on six worked cases, held to the letter.

An answerer who knows the case answers and says *unknown* to the rest. When the rules or the wording have changed on
purpose, write the transcripts anew with ``DAMPWRIGHT_REFRESH_TRANSCRIPTS=1`` and read the difference before committing.
"""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pytest

TRANSCRIPTS = Path(__file__).with_name("transcripts")
CASEBOOK = Path(__file__).parents[3] / "casebook"
QUICK = (
    "raised-path",
    "shower-tray-over-the-hall",
    "cold-corner-behind-a-wardrobe",
    "salts-from-an-old-flue",
    "vinyl-on-an-old-floor",
)


def held(name, text):
    path = TRANSCRIPTS / f"{name}.txt"
    if os.environ.get("DAMPWRIGHT_REFRESH_TRANSCRIPTS"):
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", QUICK)
def test_a_quick_session_reads_as_it_did(name, interviews, reasoner, worked, tmp_path, capsys):
    case = worked(name)
    path = interviews.begun(tmp_path / "visit.yaml", case, reasoner.rulebook)
    store, interview = interviews.opened(path, reasoner, interviews.Player(interviews.answers_of(case)), depth="quick")
    with store:
        assert interview.run() == 0
    held(name, interviews.plain(capsys.readouterr().out))


def test_a_session_with_second_thoughts_that_is_left_and_resumed_reads_as_it_did(
    interviews, reasoner, worked, tmp_path, capsys
):
    case = worked("buried-airbricks")
    path = interviews.begun(tmp_path / "visit.yaml", case, reasoner.rulebook)
    shutil.copytree(CASEBOOK / "regression" / "loggers", tmp_path / "loggers")
    answers = interviews.answers_of(case)
    planned = {
        13: ["why", "why", "how", "what if 1", "nonsense"],
        14: [answers["storey"], "", "upper-floor, not sure", answers["storey"]],
        15: ["back", "", "list"],
        16: ["change storey", "so far", "change storey"],
        17: ["note seen from the pavement only", "topics", "later"],
        18: ["save"],
    }
    store, interview = interviews.opened(path, reasoner, interviews.Player(answers, planned))
    with store:
        assert interview.run() == 0
    sys.stdout.write("\n======== later that day ========\n\n")
    store, interview = interviews.opened(path, reasoner, interviews.Player(answers, {6: ["stop"]}))
    with store:
        assert interview.run() == 0
    held("buried-airbricks", interviews.plain(capsys.readouterr().out))
