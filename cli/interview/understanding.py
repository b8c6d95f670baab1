"""What a typed line means at a prompt: an answer, a command, or neither, and then what would have been understood."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from engine.case.numerals import NotANumber
from engine.errors import nearest
from engine.inquiry.quantities import quantity
from engine.inquiry.session import Answer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from engine.rulebook.models import Question

COMMANDS = (
    "why",
    "how",
    "back",
    "change",
    "list",
    "so far",
    "what if",
    "note",
    "later",
    "topics",
    "open",
    "area",
    "readings",
    "dry",
    "air",
    "surface",
    "save",
    "stop",
    "help",
)
_ALIASES = {"?": "help", "quit": "stop", "exit": "stop", "undo": "back", "sofar": "so far", "whatif": "what if"}
_UNKNOWN = ("unknown", "don't know", "dont know", "do not know", "not known", "dk")
_NOT_APPLICABLE = ("not applicable", "not-applicable", "n/a", "na", "does not apply")
_NOT_INSPECTED = ("not inspected", "not-inspected", "not looked at")
NONE_OF_THESE = ("none of these", "none of them", "something else", "other")
_SURENESS = {
    "certain": "certain",
    "sure": "certain",
    "fairly sure": "fairly-sure",
    "fairly": "fairly-sure",
    "fairly-sure": "fairly-sure",
    "quite sure": "fairly-sure",
    "not sure": "not-sure",
    "not-sure": "not-sure",
    "unsure": "not-sure",
}
_SHORT = 60
"""Answers are listed again where they take no more signs than this."""
_SUFFIX = re.compile(
    r"^(?P<answer>.*?)(?:\s*[,(]\s*|\s+)(?P<how>" + "|".join(sorted(_SURENESS, key=len, reverse=True)) + r")\)?$", re.I
)


@dataclass(frozen=True, slots=True)
class Command:
    """A command with what follows it."""

    name: str
    rest: str = ""


@dataclass(frozen=True, slots=True)
class Misunderstood:
    """A line that is neither, and what to do."""

    message: str


def sureness_of(text: str) -> str | None:
    """The word of sureness that a text says; None where it says none."""
    said = text.strip().lower()
    return _SURENESS.get(said) or next(
        (word for name, word in _SURENESS.items() if len(said) > 2 and name.startswith(said)), None
    )


def command(line: str) -> Command | None:
    """The command that a line gives, with or without a colon before it; None where it gives none."""
    text = " ".join(line.split())
    bare = text.removeprefix(":").strip()
    lowered = bare.lower()
    for name in (*COMMANDS, *_ALIASES):
        if lowered == name or (lowered.startswith(f"{name} ") and name != "?"):
            return Command(_ALIASES.get(name, name), bare[len(name) :].strip())
    return None


def understand(line: str, question: Question, bounds: Sequence[float] = ()) -> Answer | Command | Misunderstood:
    """What a line means as a reply to a question.

    An answer that reads like a command is an answer; a colon before it makes it the command. ``bounds`` are the numbers
    at which rules draw a line: a range across one is not sure.
    """
    text = line.strip()
    if text.startswith(":"):
        return command(text) or Misunderstood(f"{text} is no command. Type help for those there are.")
    said, _, note = (part.strip() for part in text.partition(";"))
    said, sureness = _how_sure(said)
    exact = said.lower() in {name for choice in choices(question) for name in (choice[0], choice[1].lower())}
    if not exact and (found := command(text)) is not None:
        return found
    value, told = _value(said, question, bounds)
    if isinstance(value, Misunderstood):
        return value
    remark = "; ".join(part for part in (told, note) if part) or None
    if told == "about" or (told and told.startswith("between")):
        crossing = any(low < bound <= high for low, high in [_ends(said, question)] for bound in bounds)
        sureness = sureness or ("not-sure" if crossing else "fairly-sure" if told == "about" else None)
        remark = "; ".join(part for part in (told if told != "about" else "", note) if part) or None
    return Answer(value, sureness or "certain", remark)


def choices(question: Question) -> list[tuple[str, str]]:
    """The words of a question with how each reads; none for a number."""
    if question.kind == "choice":
        return [(choice.id, choice.title) for choice in question.choices]
    return [(word, word) for word in question.words()]


def _how_sure(text: str) -> tuple[str, str | None]:
    if text.endswith("?") and text != "?":
        return text.rstrip("? ").strip(), "not-sure"
    match = _SUFFIX.match(text)
    if match and match["answer"].strip():
        return match["answer"].strip(" ,"), _SURENESS[match["how"].lower()]
    return text, None


def _ends(text: str, question: Question) -> tuple[float, float]:
    found = quantity(text, question.unit)
    return found.low, found.high


def _value(text: str, question: Question, bounds: Sequence[float]) -> tuple[str | float | Misunderstood, str]:
    """The value of an answer, and what its note should keep of how it was said."""
    lowered = text.lower()
    if lowered in _UNKNOWN or (len(lowered) > 2 and "unknown".startswith(lowered)):
        return "unknown", ""
    if lowered in _NOT_APPLICABLE:
        return "not-applicable", ""
    if lowered in _NOT_INSPECTED:
        return "not-inspected", ""
    if question.kind == "number":
        return _number(text, question)
    if lowered in NONE_OF_THESE:
        return "unknown", "none of the answers offered"
    return _word(text, question), ""


def _number(text: str, question: Question) -> tuple[float | Misunderstood, str]:
    try:
        found = quantity(text, question.unit)
    except NotANumber as fault:
        return Misunderstood(f"Found {fault.found}: {fault.advice}."), ""
    low, high = question.minimum, question.maximum
    if (low is not None and found.low < low) or (high is not None and found.high > high):
        unit = f" {question.unit}" if question.unit else ""
        return Misunderstood(f"{text} is outside {low:g} to {high:g}{unit}. Is the unit right?"), ""
    if found.ranged:
        unit = f" {question.unit}" if question.unit else ""
        return found.value, f"between {found.low:g} and {found.high:g}{unit}"
    return found.value, "about" if found.rough else ""


def _word(text: str, question: Question) -> str | Misunderstood:
    offered = choices(question)
    lowered = " ".join(text.lower().split())
    if lowered.isdecimal():
        place = int(lowered) if len(lowered) < 4 else 0
        if 1 <= place <= len(offered):
            return offered[place - 1][0]
        return Misunderstood(f"There are {len(offered)} answers: 1 to {len(offered)}.")
    if question.kind == "choice" and len(lowered) == 1 and "a" <= lowered <= "z":
        place = ord(lowered) - ord("a")
        if place < len(offered):
            return offered[place][0]
    names = [
        (name, word) for word, title in offered for name in dict.fromkeys((word, word.replace("-", " "), title.lower()))
    ]
    exact = {word for name, word in names if name == lowered}
    begun = exact or {word for name, word in names if lowered and name.startswith(lowered)}
    if len(begun) == 1:
        return begun.pop()
    if len(begun) > 1:
        return Misunderstood(f"{text} could be {' or '.join(sorted(begun))}. Type more of it, or its number.")
    close = nearest(lowered, [name for name, _ in names] + list(COMMANDS)) if len(lowered) > 2 else None
    hint = f" Did you mean {close}?" if close else ""
    listed = ", ".join(f"{place} {title}" for place, (_, title) in enumerate(offered, start=1))
    if len(listed) > _SHORT:
        listed = f"1 to {len(offered)}"
    told = f": {listed}."
    return Misunderstood(f"{text[:60]!r} is not among the answers{told}{hint} Or type unknown, later, or help.")
