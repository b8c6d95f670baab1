"""Word lists of the rule base whose lines are pairs: an id or a term, a colon, and what is said of it."""

from __future__ import annotations

from engine.rulebook import Rulebook


def pairs(rulebook: Rulebook, name: str) -> dict[str, str]:
    """The lines of a word list by what stands before their first colon, in the order of the list."""
    split = (line.partition(":") for line in rulebook.words[name].words)
    return {before.strip(): after.strip() for before, _, after in split}
