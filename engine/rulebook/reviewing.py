"""The record kind of practice reviews: sentences that are said of how a case was practised on.

A remark belongs to a part of the review. Of each part that one is said whose condition holds first, by rank and id;
where none holds, nothing is said. What a part's conditions may test, and which names may stand in braces in what is
said, is declared here once for the reviewing code, the check and whoever writes a remark.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from engine.rulebook.models import Id, Record, Text, When, Word


class Remark(Record):
    """One sentence of a practice review; ``say`` may hold names of its part in braces."""

    topic: Id
    part: Word
    rank: int
    when: When | None = None
    say: Text


@dataclass(frozen=True, slots=True)
class Slot:
    """Something that a part knows: one of ``words``, a number in ``unit``, or (with neither) a text only to be said."""

    words: tuple[str, ...] = ()
    unit: str = ""

    @property
    def testable(self) -> bool:
        """Whether a condition may test it."""
        return bool(self.words or self.unit)


_TEXT = Slot()
_YES_NO = Slot(("yes", "no"))


def _number(unit: str) -> Slot:
    return Slot((), unit)


def _texts(*names: str) -> dict[str, Slot]:
    return dict.fromkeys(names, _TEXT)


PARTS: Mapping[str, Mapping[str, Slot]] = MappingProxyType(
    {
        "verdict": {
            "verdict": Slot(("right", "missed-some", "added-some", "partly", "wrong")),
            "nothing-wets": _YES_NO,
            **_texts("named", "truth", "missed", "added"),
        },
        "openness": {
            "determined": _YES_NO,
            "evidence-determined": _YES_NO,
            "verdict": Slot(("right", "missed-some", "added-some", "partly", "wrong")),
            "sureness": _number("percent"),
            **_texts("parting-steps"),
        },
        "confidence": {
            "came-true": _YES_NO,
            "sureness": _number("percent"),
            "carried": _number("percent"),
            **_texts("cause", "carried-words"),
        },
        "brier": {"brier": _number("score"), "forecasts": _number("forecasts")},
        "evidence": {
            "items": _number("items"),
            "idle": _number("items"),
            "idle-share": _number("percent"),
            "unanswered": _number("items"),
            **_texts("minutes", "money", "idle-minutes"),
        },
        "evidence-told": {"bits": _number("bits"), **_texts("item")},
        "evidence-missed": {"bits": _number("bits"), **_texts("item", "cost", "why")},
        "evidence-complete": {"missed": _number("items")},
        "order": {
            "reached": _YES_NO,
            "best-reached": _YES_NO,
            "ratio": _number("ratio"),
            "early": _number("percent"),
            "best-items": _number("questions"),
            **_texts("minutes", "best-minutes"),
        },
        "order-item": {
            "asked": Slot(("in-time", "late", "never")),
            "place": _number("items"),
            "best-place": _number("items"),
            **_texts("item"),
        },
        "safety": {"missed": _number("cautions"), "unasked": _number("questions"), "questions": _number("questions")},
        "caution-missed": {"seen": _YES_NO, **_texts("caution", "because", "defer-to")},
        "safety-question": {"alarm": _YES_NO, **_texts("question", "answer")},
        "trap": {
            "fallen": _YES_NO,
            "sureness": _number("percent"),
            **_texts("cause", "saying"),
        },
        "trap-break": {"seen": _YES_NO, "fallen": _YES_NO, **_texts("finding", "because", "tests")},
        "misled": {**_texts("rule", "because", "misleads", "cause")},
        "wrong-cause": {**_texts("cause", "findings")},
        "missed-cause": {**_texts("cause", "findings")},
        "timber": {
            "judged": Slot(("right", "too-light", "too-grave", "not-said")),
            "should": Slot(("no-evidence-of-risk", "watch", "at-risk", "decay-seen", "not-inspected")),
            **_texts("said", "should-words"),
        },
        "steps": {"missed": _number("steps"), "said": _number("steps")},
        "step-missed": {"kind": Slot(("test", "action", "monitoring")), **_texts("step", "purpose")},
        "step-too-early": {**_texts("step", "reasons")},
        "lesson": {**_texts("lesson")},
        "history": {
            "forecasts": _number("forecasts"),
            "over-sure": _number("percent"),
            **_texts("cases", "mean-said", "share-true", "brier"),
        },
    }
)
"""The parts of a review, each with what it knows."""
