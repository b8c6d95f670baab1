"""What a sweep has done, kept beside its output, so that an interrupted one can go on.

One line of JSON for each result, only ever added, found again by the digest of what was weighed. A line that was cut
off while it was being written counts for nothing and is taken away. Faults are not taken from here: they are cheap
to find again, and may lie in a file beside the case.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Any

from engine.sweeping.items import Item
from engine.sweeping.working import WEIGHED, key_of_file, key_of_text
from engine.version import VERSION


def done_path(output: Path) -> Path:
    """Where the results of a sweep are kept: beside its output, under its name."""
    return output.with_name(f"{output.name}.done.jsonl")


class Done:
    """The results so far, open for more. With ``resume`` those of this rule base and version count, else none do.

    ``stale`` says how many were left aside because another rule base or version gave them. OSError where the folder
    cannot be written to.
    """

    def __init__(self, output: Path, rulebook: str, *, resume: bool) -> None:
        self.path = done_path(output)
        self.stale = 0
        self._rulebook = rulebook
        self._places: dict[int, int] = {}
        self._file = open(self.path, "r+b" if resume and self.path.exists() else "w+b")  # noqa: SIM115 - until close
        self._find()

    def __enter__(self) -> Done:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        self._file.close()

    def result_for(self, item: Item) -> str | None:
        """The result of an item that was weighed before and has not changed since, nor the files that it names."""
        if item.fault is not None or not self._places:
            return None
        key = key_of_file(Path(item.name)) if item.number is None else key_of_text(item.text)
        place = self._places.get(_short(key)) if key else None
        if place is None:
            return None
        self._file.seek(place)
        text = self._file.readline().decode("utf-8").rstrip("\n")
        self._file.seek(0, os.SEEK_END)
        result = json.loads(text)
        folder = Path(item.name).parent
        same = result["key"] == key and all(key_of_file(folder / name) == was for name, was in result["beside"].items())
        return text if same else None

    def add(self, result: Mapping[str, Any], text: str) -> None:
        """Keep a result; one that holds a fault is not kept."""
        if result["state"] == WEIGHED:
            self._file.write(text.encode("utf-8") + b"\n")
            self._file.flush()

    def _find(self) -> None:
        """Where each result stands, and the end after the last whole line."""
        end = 0
        while (line := self._file.readline()).endswith(b"\n"):
            place, end = end, end + len(line)
            try:
                result = json.loads(line)
                if (result["rulebook"], result["version"]) == (self._rulebook, VERSION):
                    self._places[_short(result["key"])] = place
                else:
                    self.stale += 1
            except (ValueError, TypeError, KeyError, UnicodeDecodeError, RecursionError):
                continue
        self._file.seek(end)
        self._file.truncate()


def _short(key: str) -> int:
    return int(key[:16], 16)
