"""The review of a practised case, from its plain data, so that a kept review reads as it did on its day."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from cli.views.page import Page
from cli.views.phrases import about, list_words, sentence_case
from engine.practising.costs import minutes_words

HEADINGS = {
    "cause": "Cause",
    "confidence": "How sure",
    "evidence": "Evidence",
    "order": "Order of questions",
    "safety": "Safety",
    "traps": "What leads astray",
    "judgement": "Timber and next steps",
    "lesson": "What the case teaches",
}
MOVED = 0.01
"""Bits from which a moment is shown in the replay."""


def show_review(review: Mapping[str, Any], title: Callable[[str], str], page: Page) -> None:
    """Print a review; ``title`` gives the title of a cause."""
    for section in review["sections"]:
        page.heading(HEADINGS.get(section["id"], section["id"]))
        for sentence in section["sentences"]:
            page.line(sentence)
        for point in section["points"]:
            page.bullet(point)
    _show_replay(review["replay"], title, page)
    page.line()
    page.line(_of_the_truth(review))


def _of_the_truth(review: Mapping[str, Any]) -> str:
    grade = {
        "synthetic": "What is true of this case was made up with it",
        "expert": "What is true of this case is an expert's judgement",
        "verified-repair": "What is true of this case was shown by its repair",
    }.get(review["grade"], "What is true of this case stands in its key")
    return (
        f"{grade}. Bits are what evidence told by the program's own rules, whose strengths are trade judgement. "
        "Practice shows how you reason beside these rules; it is no measure of work in the field."
    )


def _show_replay(moments: Sequence[Mapping[str, Any]], title: Callable[[str], str], page: Page) -> None:
    page.heading("How the opinion moved")
    still = 0
    for moment in moments:
        if moment["kind"] == "asked" and moment["bits"] < MOVED:
            still += 1
            continue
        believed = list_words([f"{title(cause)} {about(belief)}" for cause, belief in moment["beliefs"][:2]])
        if moment["kind"] == "view":
            stated = list_words([f"{title(cause)} {100 * belief:.0f} %" for cause, belief in moment["view"]])
            page.bullet(f"You thought: {stated}. The rules then: {believed}.")
        elif moment["kind"] == "brief":
            page.bullet(f"From the brief alone: {believed}.")
        elif moment["kind"] == "whole":
            if still:
                page.bullet(f"{still} more {'thing' if still == 1 else 'things'} moved hardly anything.")
            page.bullet(f"On all that the case holds: {believed}.")
        else:
            when = f"after {minutes_words(moment['minutes'])}"
            page.bullet(f"{sentence_case(moment['title'])} ({when}, {moment['bits']:.2f} bits): {believed}.")
