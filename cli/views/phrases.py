"""Numbers and states as a reader would say them."""

from __future__ import annotations

from engine.opinion.models import Reason


def about(probability: float) -> str:
    """A probability to the nearest five percent, with open ends: `about 85 %`, `under 5 %`, `over 95 %`.

    The belief rests on judged strengths; finer figures would claim more than it holds.
    """
    percent = 5 * round(probability * 20)
    if percent <= 0 or probability < 0.05:
        return "under 5 %"
    if percent >= 100 or probability > 0.95:
        return "over 95 %"
    return f"about {percent} %"


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


def list_words(words: list[str]) -> str:
    """Words in a row: `a`, `a and b`, `a, b and c`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def sentence_case(text: str) -> str:
    """The same words with the first letter large."""
    return text[:1].upper() + text[1:]
