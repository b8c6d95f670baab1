"""What the README shows of a practice session stands in the transcript, stretch by stretch and in its order."""

from __future__ import annotations

import re
from pathlib import Path

README = Path(__file__).resolve().parents[3] / "README.md"
TRANSCRIPT = Path(__file__).with_name("transcripts") / "raised-path.txt"


def test_the_readme_shows_what_a_practice_session_prints():
    shown = re.search(r"<!-- output: practise -->\n```text\n(.*?)```\n", README.read_text(encoding="utf-8"), re.DOTALL)
    text = TRANSCRIPT.read_text(encoding="utf-8")
    at = 0
    for stretch in shown.group(1).split("…\n"):
        at = text.index(stretch, at) + len(stretch)
