"""What the inference layer takes in: attributes with values, each as sure as it is said to be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

Value = str | float
"""A value of a fact: a word from the attribute's vocabulary, or a number in the attribute's unit."""

NOT_APPLICABLE = "not-applicable"
"""The value of an attribute that cannot arise here: known, and unlike every value a rule may ask for."""


class Sureness(IntEnum):
    """How sure a fact or a conclusion is; the larger, the surer."""

    NOT_SURE = 1
    FAIRLY_SURE = 2
    CERTAIN = 3

    @property
    def word(self) -> str:
        """The word used in files and views: certain, fairly-sure, not-sure."""
        return _WORDS[self]

    @classmethod
    def of(cls, word: str) -> Sureness:
        """The sureness that a file's word stands for; KeyError for any other word."""
        return _SURENESS[word]


_WORDS = {sureness: sureness.name.lower().replace("_", "-") for sureness in Sureness}
_SURENESS = {word: sureness for sureness, word in _WORDS.items()}


@dataclass(frozen=True, slots=True)
class Fact:
    """A known value of one attribute.

    An attribute that is not known has no fact at all: a missing answer never counts as no.
    ``direct`` is true for what was seen or measured, false for what was told or inferred;
    ``sureness`` is already lowered a grade for what was told. ``origin`` says in words where
    the fact comes from (place, visit, instrument, person).
    """

    attribute: str
    value: Value
    sureness: Sureness = Sureness.CERTAIN
    direct: bool = True
    origin: str = ""


Facts = Mapping[str, Fact]
