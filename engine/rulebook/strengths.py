"""How strongly findings speak for causes: the words of the records and the numbers that they stand for."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from engine.rulebook.book import Rulebook
from engine.rulebook.compiling import strength_levels
from engine.rulebook.models import Finding


@dataclass(frozen=True, slots=True)
class Strength:
    """How often a finding is met with one cause alone, against how often with none.

    ``state`` is present, or for a graded finding slight-or-more or strong. ``seen`` and ``unseen`` are the weights
    of evidence [dB] of the state and of its absence for the cause alone against no cause, all else being certain.
    """

    finding: str
    cause: str
    state: str
    word: str
    probability: float
    background_word: str
    background: float
    seen: float
    unseen: float


def strengths(rulebook: Rulebook, *, finding: str | None = None, cause: str | None = None) -> tuple[Strength, ...]:
    """Every strength that the findings state, or those of one finding or one cause; by finding, state and cause."""
    findings = rulebook.findings.values() if finding is None else [rulebook.findings[finding]]
    return tuple(
        strength for one in findings for strength in _of(rulebook, one) if cause is None or strength.cause == cause
    )


def _of(rulebook: Rulebook, finding: Finding) -> Iterator[Strength]:
    states = ("slight-or-more", "strong") if finding.grades is not None else ("present",)
    for state, level in zip(states, strength_levels(finding), strict=True):
        background = rulebook.word("frequency", level.background)
        for cause, word in sorted(level.makes.items()):
            probability = rulebook.word("frequency", word)
            seen = 10 * math.log10(probability / background)
            unseen = 10 * math.log10((1 - probability) / (1 - background))
            yield Strength(finding.id, cause, state, word, probability, level.background, background, seen, unseen)
