"""The journal beside a case: every change that a session makes, written before the case itself is replaced.

One line of JSON for each change: when, who, what stood there, what stands there now, why, and the digests of the case
before and after it. A line may also say which questions of an area are put off. Lines are only ever added. A line
whose change did not reach the case is made good the next time the case is opened; a line that was cut off while it was
being written counts for nothing.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from engine.case.changing import Change


@dataclass(frozen=True, slots=True)
class Entry:
    """One change as the journal holds it. ``time`` is in ISO 8601; ``reason`` is why, in words."""

    time: str
    author: str
    attribute: str
    old: Any
    new: Any
    reason: str
    path: tuple[str | int, ...]
    items: tuple[dict[str, Any], ...]
    index: int | None
    before: str
    after: str

    @property
    def change(self) -> Change:
        """The change itself."""
        return Change(self.path, self.items, self.index)


def text_digest(text: str) -> str:
    """SHA-256 of a case's text, by which the journal knows it."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def journal_path(case: Path) -> Path:
    """Where the journal of a case lies: beside it, under its name."""
    return case.with_name(f"{case.name}.journal")


def entries(case: Path) -> tuple[Entry, ...]:
    """Every whole line of a case's journal, oldest first; none where there is no journal."""
    return tuple(_read(journal_path(case)))


def _read(path: Path) -> Iterator[Entry]:
    for data in _lines(path):
        try:
            entry = Entry(**{**data, "path": tuple(data["path"]), "items": tuple(data["items"])})
        except (TypeError, KeyError):
            continue
        yield entry


def _lines(path: Path) -> Iterator[dict[str, Any]]:
    """Every whole line of a journal, as data; none where there is no journal."""
    for line in path.read_bytes().split(b"\n") if path.exists() else ():
        try:
            data = json.loads(line.decode("utf-8"))
        except (ValueError, UnicodeDecodeError):
            continue
        if isinstance(data, dict):
            yield data


def append(case: Path, entry: Entry) -> None:
    """Add a line and wait until it is on the disk; OSError where it cannot be."""
    _add(case, {name: getattr(entry, name) for name in Entry.__slots__})


def append_put_off(case: Path, area: str, names: Iterable[str], *, when: datetime, author: str) -> None:
    """Add which questions of an area are put off by now, all of them; no change of the case. OSError as `append`."""
    _add(case, {"time": when.isoformat(timespec="seconds"), "author": author, "area": area, "put_off": sorted(names)})


def put_off(case: Path, area: str) -> frozenset[str]:
    """The questions of an area that were put off, by the last line that says so; some may be answered since."""
    found: frozenset[str] = frozenset()
    for data in _lines(journal_path(case)):
        if data.get("area") == area and isinstance(data.get("put_off"), list):
            found = frozenset(name for name in data["put_off"] if isinstance(name, str))
    return found


def _add(case: Path, data: Mapping[str, Any]) -> None:
    line = json.dumps(data, ensure_ascii=False).encode("utf-8") + b"\n"
    with open(journal_path(case), "ab") as file:
        if file.tell() and not _ends_with_a_line(journal_path(case)):
            line = b"\n" + line
        file.write(line)
        file.flush()
        os.fsync(file.fileno())


def _ends_with_a_line(path: Path) -> bool:
    with path.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1) == b"\n"


def entry_of(change: Change, data: Any, *, when: datetime, author: str, reason: str, before: str, after: str) -> Entry:
    """The line for a change of the data of a case; of a fact the old and the new value, otherwise how many items."""
    old, items = change.before(data), tuple(dict(item) for item in change.items)
    fact = "attribute" in items[0]
    return Entry(
        time=when.isoformat(timespec="seconds"),
        author=author,
        attribute=str(items[0]["attribute"] if fact else change.path[-1]),
        old=old.get("value") if old is not None and fact else old,
        new=items[0]["value"] if fact else f"{len(items)} more",
        reason=reason,
        path=change.path,
        items=items,
        index=change.index,
        before=before,
        after=after,
    )
