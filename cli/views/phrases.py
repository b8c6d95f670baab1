"""Numbers and states as a reader would say them."""

from __future__ import annotations

from engine.opinion.models import Reason
from engine.opinion.words import about, list_words

__all__ = ["about", "evidence_phrase", "list_words", "sentence_case", "state_phrase"]


def evidence_phrase(decibans: float) -> str:
    """A weight of evidence, signed and whole: `[+7 dB]`."""
    return f"[{decibans:+.0f} dB]"


def state_phrase(reason: Reason) -> str:
    """A finding with its state: present is plain, absent is said, doubt is said."""
    said = {
        "present": reason.title,
        "absent": f"not found: {reason.title}",
        "none": f"not found: {reason.title}",
    }.get(reason.state, f"{reason.title} ({reason.state})")
    return said if reason.sureness == "certain" else f"{said} ({reason.sureness.replace('-', ' ')})"


def sentence_case(text: str) -> str:
    """The same words with the first letter large."""
    return text[:1].upper() + text[1:]
