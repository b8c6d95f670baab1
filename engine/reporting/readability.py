"""How plainly a text reads: Flesch's reading ease, 206.835 − 1.015·(words/sentences) − 84.6·(syllables/words).

R. Flesch, *A new readability yardstick*, Journal of Applied Psychology 32 (1948), formula and bands from memory; the
formula was looked up again in the documentation of the npm package `flesch`, whose two worked examples are tests here.
60 to 70 is Flesch's *standard*, 70 to 80 *fairly easy*; higher is easier. Only running text is measured, no headings
or names.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

TARGET = 70.0
"""The least reading ease at which Flesch calls a text fairly easy, a step easier than plain English."""

_WORD = re.compile(r"[A-Za-z]+(?:['’-][A-Za-z]+)*|\d[\d.,]*")
_SENTENCE_END = re.compile(r"[.!?]+(?:\s|$)")
_VOWELS = re.compile(r"[aeiouy]+")
_PARTED = re.compile(r"(?<![tcsg])ia|(?<![tcsgx])io(?!u)|iu|eo(?!p)|ual|[eoy]ing|[aeo]y(?=[eo]r)|creat(?!u)|iet")
"""Neighbouring vowels that are two syllables."""
_SILENT = re.compile(
    r"[^aeiouy]e$|(?<=[aeiouy][^aeiouy])ely$|[^aeiouydt]ed$|(?<![sxzcg])(?<!ch)(?<!sh)(?<![aeiouy])es$"
)
_SOUNDED = re.compile(r"[^aeiouy]l(?:e|es|ed)$")
"""Endings that make no syllable, and the like of *table*, which do."""


@dataclass(frozen=True, slots=True)
class Readability:
    """The counts of a text and its reading ease."""

    words: int
    sentences: int
    syllables: int

    @property
    def ease(self) -> float:
        """Flesch's reading ease; higher is easier."""
        return reading_ease(self.words, self.sentences, self.syllables)

    def sentence(self) -> str:
        """The measure, how it was reckoned and what it was to reach."""
        return (
            f"Flesch reading ease {self.ease:.0f}; at least {TARGET:.0f} was to be reached, which is fairly easy. It"
            " is 206.835 − 1.015 × words ÷ sentences − 84.6 × syllables ÷ words, here of"
            f" {self.words} words, {self.sentences} sentences and {self.syllables} syllables, these counted by rule."
            " The formula is R. Flesch's of 1948, from memory."
        )


def reading_ease(words: int, sentences: int, syllables: int) -> float:
    """Flesch's reading ease of a text with these counts, each at least 1; ValueError otherwise."""
    if min(words, sentences, syllables) < 1:
        raise ValueError("a text without words has no reading ease")
    return 206.835 - 1.015 * words / sentences - 84.6 * syllables / words


def readability(texts: Iterable[str]) -> Readability:
    """The counts of several pieces of running text; each piece ends a sentence. ValueError where there are no words.

    Words with hyphens count as one, as Flesch has it.
    """
    words = sentences = count = 0
    for text in texts:
        found = _WORD.findall(text)
        if found:
            words += len(found)
            sentences += max(1, len(_SENTENCE_END.findall(f"{text.strip().rstrip('.!?')}.")))
            count += sum(syllables(part) for word in found for part in word.split("-"))
    if not words:
        raise ValueError("a text without words has no reading ease")
    return Readability(words, sentences, count)


def syllables(word: str) -> int:
    """The syllables of an English word by rule: groups of vowels, less silent endings; a figure counts as one.

    A rule errs on some words either way; over a page the errors nearly cancel.
    """
    letters = word.lower().replace("’", "'").removesuffix("'s")
    if not letters[:1].isalpha():
        return 1
    count = len(_VOWELS.findall(letters)) + len(_PARTED.findall(letters))
    silent = bool(_SILENT.search(letters)) and not _SOUNDED.search(letters)
    return max(count - silent, 1)
