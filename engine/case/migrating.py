"""Case files of older formats brought up to date: in memory when they are read, in the file only when asked or saved.

Each step turns the data of one format into the next; a step never changes once a format is out, whatever later ones do.

Format 0 is the draft from before the format was settled. Its text on one line could hold line ends and tabs, all text
could hold marks that turn the writing direction, and the value of a fact could be any text. Files of the draft said
``format: 1`` like those of today; one that is refused for these reasons is read once it says ``format: 0``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from engine.case.saving import save_new
from engine.documents import Document
from engine.errors import InvalidInput, Problem
from engine.reading import FieldPath

FORMAT = 1
"""The format that this version of the program writes."""


def format_of(document: Document) -> int | None:
    """The number of the format that a document says it is in; None where it gives no whole number."""
    number = document.data.get("format") if isinstance(document.data, dict) else None
    return number if isinstance(number, int) and not isinstance(number, bool) else None


def is_old(document: Document) -> bool:
    """Whether a document is in a format that is older than today's and can be brought up to date."""
    number = format_of(document)
    return number in STEPS


def brought_up_to_date(document: Document) -> Document:
    """A document in today's format; the given one stays as it is, and parts keep their lines.

    InvalidInput, with this one fault, for a format later than is known. What is no format at all is left to the check
    of the form.
    """
    number = format_of(document)
    if number is None:
        return document
    if number > FORMAT:
        advice = "the file was written by a later version of the program; read it with that one"
        allowed = f"{min(STEPS)} to {FORMAT}"
        raise InvalidInput([Problem(document.name, document.line(("format",)), "format", str(number), allowed, advice)])
    if number not in STEPS:
        return document
    data = document.data
    while number in STEPS:
        data = STEPS[number](data)
        number += 1
    return replace(document, data=data)


def refuse_old(document: Document) -> None:
    """InvalidInput for a document in an older format, into which nothing is to be written before it is up to date."""
    if is_old(document):
        advice = f"bring the file up to date first, which keeps a backup: dampwright case migrate {document.name}"
        found, line = str(format_of(document)), document.line(("format",))
        raise InvalidInput([Problem(document.name, line, "format", found, str(FORMAT), advice)])


def changes(before: Any, after: Any, path: FieldPath = ()) -> Iterator[tuple[FieldPath, Any]]:
    """The values that a migration changed, with their places, where it moved no part; else the whole that moved."""
    if isinstance(before, dict) and isinstance(after, dict) and before.keys() == after.keys():
        for name in before:
            yield from changes(before[name], after[name], (*path, name))
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for place, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from changes(one, other, (*path, place))
    elif before != after or type(before) is not type(after):
        yield path, after


def back_up(path: Path, number: int) -> Path:
    """Keep a file of an old format beside it before it is written over, and say where; a backup is never replaced.

    The same content is kept once. OSError where it cannot be kept: then nothing may be written over.
    """
    content = path.read_bytes()
    count = 1
    while True:
        backup = path.with_name(f"{path.name}.format-{number}{'' if count == 1 else f'-{count}'}.backup")
        try:
            save_new(backup, content)
        except FileExistsError:
            if backup.read_bytes() == content:
                return backup
            count += 1
        else:
            return backup


_LINES = frozenset(
    {"title", "by", "serial", "place", "file", "what", "why", "caption", "address", "signed_by"},
)
_TURNING = re.compile(r"[\u202a-\u202e\u2066-\u2069]")


def _from_draft(data: Any, name: str = "") -> Any:
    """Format 0 to 1: text on one line loses its line ends, all text its turning marks; values of facts become words."""
    if isinstance(data, dict):
        data = {field: _from_draft(value, field) for field, value in data.items()}
        if isinstance(data.get("value"), str) and "attribute" in data:
            data["value"] = "-".join(re.findall(r"[a-z0-9]+", data["value"].lower())) or data["value"]
        return {**data, "format": 1} if not name else data
    if isinstance(data, list):
        return [_from_draft(item, name or "-") for item in data]
    if isinstance(data, str):
        data = _TURNING.sub("", data)
        return " ".join(data.split()) if name in _LINES else data
    return data


STEPS: Mapping[int, Callable[[Any], Any]] = MappingProxyType({0: _from_draft})
"""What brings each older format to the one after it."""
