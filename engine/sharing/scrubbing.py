"""What can be taken out of free text by its form, and what was marked private by the person who wrote it.

Form finds much and not all: what is left must be read by a person. Forms are of the United Kingdom where countries
differ (postcodes, grid references, telephone numbers that begin with 0), and any country's with + before the number.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

REMOVED = "[removed]"

_PRIVATE = re.compile(r"\s*\(private\).*?(?=\n[ \t]*\n|\Z)", re.IGNORECASE | re.DOTALL)
_OUTWARD = re.compile(r"[A-Z]{1,2}[0-9][A-Z0-9]?", re.IGNORECASE)
_POSTCODE = re.compile(r"\b([A-Z]{1,2}[0-9][A-Z0-9]?)[ \t]?[0-9][ABD-HJLNP-UW-Z]{2}\b", re.IGNORECASE)
"""Outward and inward part of a postcode; the letters C, I, K, M, O and V have no place in the inward one (from memory
of the postcode's published format)."""

_FORMS = (
    ("an e-mail address", re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")),
    (
        "coordinates",
        re.compile(
            r"[-+−]?\d{1,3}\.\d{3,}\s*°?\s*[NS]?\s*[,;/ ]\s*[-+−]?\d{1,3}\.\d{3,}\s*°?\s*[EW]?(?![\w.])"
            r"|\d{1,3}\s*°\s*\d{1,2}(?:\.\d+)?\s*['′](?:\s*\d{1,2}(?:\.\d+)?\s*[\"″])?\s*[NSEW]\b",
        ),
    ),
    ("a grid reference", re.compile(r"\b[HJNOST][A-HJ-Z] ?(?:\d{3} ?\d{3}|\d{4} ?\d{4}|\d{5} ?\d{5})\b")),
    ("a telephone number", re.compile(r"(?<![\w.])(?:\+[0-9]|\(?0)(?:[ \t().-]{0,2}[0-9]){8,13}(?![\w])")),
)
_ROLES = frozenset({
    "agent", "builder", "buyer", "client", "contractor", "council", "doctor", "dr", "for", "from", "he", "her",
    "him", "his", "householder", "housing", "inspector", "is", "it", "lady", "landlady", "landlord", "ltd",
    "manager", "miss", "mr", "mrs", "ms", "neighbour", "occupant", "occupier", "of", "officer", "owner",
    "owners", "plc", "plumber", "prof", "professor", "reported", "said", "seller", "she", "sir", "surveyor",
    "tenant", "tenants", "the", "they", "visitor",
})  # fmt: skip
"""Words with a capital letter in a name's field that name no person."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is personal in this case, to be looked for in its free text: names and addresses as they were given."""

    whole: re.Pattern[str] | None
    words: re.Pattern[str] | None

    @classmethod
    def of(cls, names: Iterable[str], addresses: Iterable[str]) -> Known:
        """Names count whole and by each of their words with a capital; addresses whole and by the parts at commas."""
        names = tuple(names)
        words = {word for name in names for word in _capitals(name)}
        whole = {name for name in names if _capitals(name)}
        for address in addresses:
            whole |= set() if _OUTWARD.fullmatch(address) else {address, *_parts(address)}
        return cls(_any_of(whole, re.IGNORECASE), _any_of(words, re.NOFLAG))

    def names(self, identifier: str) -> bool:
        """Whether an id, of words joined by hyphens, holds one of the names or addresses."""
        text = identifier.replace("-", " ")
        return any(
            pattern is not None and re.search(pattern.pattern, text, re.IGNORECASE)
            for pattern in (self.whole, self.words)
        )


def scrubbed(text: str, known: Known) -> tuple[str, Counter[str]]:
    """A text without what was marked private, without names and addresses known, and without what shows by its form.

    Postcodes keep their outward part. Empty where nothing is left; with what was taken out, by kind.
    """
    taken: Counter[str] = Counter()

    def replaced(pattern: re.Pattern[str] | None, kind: str, by: str) -> None:
        nonlocal text
        if pattern is not None:
            text, count = pattern.subn(by, text)
            taken[kind] += count

    replaced(_PRIVATE, "text marked private", "")
    replaced(known.whole, "a name or address", REMOVED)
    replaced(known.words, "a name or address", REMOVED)
    for kind, pattern in _FORMS:
        replaced(pattern, kind, REMOVED)
    replaced(_POSTCODE, "the inward part of a postcode", r"\1")
    return (text.strip() if taken["text marked private"] else text), +taken


def without_private(text: str) -> str:
    """A text without what was marked private; empty where nothing is left."""
    left = _PRIVATE.sub("", text)
    return text if left == text else left.strip()


def outward(address: str) -> str | None:
    """The outward part of the postcode in an address, in capitals, also of one already shortened; None without one."""
    found = _POSTCODE.search(address)
    if found is None:
        return address.upper() if _OUTWARD.fullmatch(address) else None
    return found[1].upper()


def _capitals(name: str) -> list[str]:
    words = re.findall(r"[^\W\d_][\w'’]+", name)
    return [word for word in words if word[0].isupper() and word.lower() not in _ROLES]


def _parts(address: str) -> list[str]:
    parts = [part.strip() for part in re.split(r"[,;\n]", _POSTCODE.sub("", address))]
    streets = [match[1] for part in parts if (match := re.fullmatch(r"\d+\s*[A-Za-z]?\s+(\D{4,})", part))]
    return [part for part in (*parts, *streets) if len(part) >= 4]


def _any_of(texts: Iterable[str], flags: re.RegexFlag) -> re.Pattern[str] | None:
    ordered = sorted({text for text in texts if text}, key=lambda text: (-len(text), text))
    if not ordered:
        return None
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, ordered))})(?!\w)", flags)
