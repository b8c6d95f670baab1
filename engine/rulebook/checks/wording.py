"""Wording: no text of a record blames the people who live in a dwelling."""

from __future__ import annotations

import re
from collections.abc import Iterator

from engine.documents import FieldPath
from engine.errors import Problem
from engine.rulebook.checks.inspection import Inspection

BLAME_WORDS = "blame-words"
"""The word list whose phrases no text may contain."""
_NOT_OURS = ("words", "sources")
"""Kinds whose texts are not shown as our own: the lists themselves, and the titles of published work."""


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Every phrase of the list of blaming words in a text of a record."""
    blaming = inspection.rulebook.words.get(BLAME_WORDS)
    if blaming is None:
        return
    phrases = re.compile(r"\b(?:" + "|".join(_pattern(word) for word in blaming.words) + r")\b", re.IGNORECASE)
    for kind, records in inspection.rulebook.kinds.items():
        for record in records.values() if kind not in _NOT_OURS else ():
            for path, text in texts(record.model_dump(mode="json", exclude_defaults=True)):
                for phrase in dict.fromkeys(match[0].lower() for match in phrases.finditer(text)):
                    found = f"{' '.join(phrase.split())!r}, which blames"
                    advice = "say what the building, its heating and its ventilation can carry"
                    yield inspection.problem(record.id, path, found, "wording that blames nobody", advice)


def _pattern(phrase: str) -> str:
    return r"\s+".join(re.escape(word) for word in phrase.split())


def texts(data: object, path: FieldPath = ()) -> Iterator[tuple[FieldPath, str]]:
    """Every text in plain data with its path."""
    if isinstance(data, str):
        yield path, data
    elif isinstance(data, dict):
        for name, value in data.items():
            yield from texts(value, (*path, name))
    elif isinstance(data, list):
        for number, value in enumerate(data):
            yield from texts(value, (*path, number))
