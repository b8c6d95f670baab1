"""A whole practice session, left and gone on with, from its brief to its review, held to the letter.

When the rules or the wording have changed on purpose, write it anew with ``DAMPWRIGHT_REFRESH_TRANSCRIPTS=1`` and read
the difference before committing.
"""

from __future__ import annotations

import os
from pathlib import Path

TRANSCRIPT = Path(__file__).with_name("transcripts") / "raised-path.txt"
BEFORE_LUNCH = (
    "help",
    "water near electrics",
    "gas",
    "catalogue safety",
    "5 10 17",
    "tide line",
    "1",
    "how mould black",
    "press pins at 1500",
    "press plate 75 500 at 1510 on garden",
    "press pins 75 along on garden",
    "dry pins",
    "check plate",
    "view ground-rise 60, bridged 40",
    "nonsense that nothing matches",
    "leave",
)
AFTER_LUNCH = (
    "seen",
    "outside ground below",
    "short low length",
    "same damp where the ground is low",
    "which side of the wall is wetter",
    "plan garden",
    "view bridged 80, ground-rise 20",
    "conclude",
    "back",
    "air",
    "conclude",
    "bridged",
    "bridged 85, ground-rise 15",
    "at risk perhaps",
    "watch",
    "list outside ground",
    "lower the outside ground",
    "list lead",
    "lead-paint, asbestos",
)


def test_a_practice_session_reads_as_it_did(practised):
    code, first, fault = practised(BEFORE_LUNCH, "raised-path")
    assert (code, fault) == (0, "")
    code, second, fault = practised(AFTER_LUNCH)
    assert (code, fault) == (0, "")
    text = f"{first}\n======== after lunch ========\n\n{second}"
    if os.environ.get("DAMPWRIGHT_REFRESH_TRANSCRIPTS"):
        TRANSCRIPT.parent.mkdir(exist_ok=True)
        TRANSCRIPT.write_text(text, encoding="utf-8")
    assert text == TRANSCRIPT.read_text(encoding="utf-8")
    assert max(map(len, text.splitlines())) <= 80
