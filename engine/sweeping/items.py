"""What is to be swept: case files, folders of them, workbooks, and streams of one case on each line.

Nothing is held but the name that is next: folders are walked in the order of names, and streams are read line by
line, of which none may be longer than a case file.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from engine.documents import LIMITS
from engine.errors import InvalidInput, Problem

CASES = (".yaml", ".yml", ".json", ".xlsx")
STREAMS = (".jsonl", ".ndjson")
STDIN = Path("-")
_PIECE = 1 << 16


@dataclass(frozen=True, slots=True)
class Item:
    """One case to be weighed: the file ``name``, or line ``number`` of the stream ``name`` with its ``text``.

    ``fault`` says why a line could not even be taken.
    """

    name: str
    number: int | None = None
    text: str = ""
    fault: Problem | None = None


def check_paths(paths: Iterable[Path]) -> None:
    """InvalidInput with every path that is not there, is of no kind that can be swept, or is a folder without cases."""
    problems = []
    for path in paths:
        kinds = f"{', '.join((*CASES, *STREAMS))}, a folder of such cases, or - for a stream"
        if path == STDIN:
            continue
        if not path.exists():
            problems.append(Problem(str(path), None, "", "no such file or folder", kinds, "check the name"))
        elif not path.is_dir() and path.suffix.lower() not in (*CASES, *STREAMS):
            found = f"a file whose name ends in {path.suffix or 'nothing'}"
            problems.append(Problem(str(path), None, "", found, kinds))
        elif path.is_dir() and next(_within(path), None) is None:
            problems.append(Problem(str(path), None, "", "a folder without a case in it", f"files {', '.join(CASES)}"))
    if problems:
        raise InvalidInput(problems)


def count_items(paths: Iterable[Path], apart_from: frozenset[Path] = frozenset()) -> int | None:
    """How many cases there are; None where one of the streams cannot be read twice."""
    total = 0
    for path in paths:
        if path == STDIN or not (path.is_dir() or path.is_file()):
            return None
        if path.suffix.lower() in STREAMS and path.is_file():
            with path.open("rb") as stream:
                total += sum(1 for item in _lines(str(path), stream))
        else:
            total += sum(1 for _ in _files(path, apart_from))
    return total


def items(
    paths: Iterable[Path], stdin: BinaryIO | None = None, apart_from: frozenset[Path] = frozenset()
) -> Iterator[Item]:
    """Every case, in the order of the paths; within a folder in the order of names, folders after files.

    ``stdin`` is what the path ``-`` stands for; ``apart_from`` are files (resolved) that are passed over.
    OSError where a stream cannot be read.
    """
    for path in paths:
        if path == STDIN:
            if stdin is not None:
                yield from _lines("standard input", stdin)
        elif path.suffix.lower() in STREAMS and not path.is_dir():
            with path.open("rb") as stream:
                yield from _lines(str(path), stream)
        else:
            for file in _files(path, apart_from):
                yield Item(str(file))


def _files(path: Path, apart_from: frozenset[Path]) -> Iterator[Path]:
    if not path.is_dir():
        yield path
    elif apart_from:
        yield from (file for file in _within(path) if file.resolve() not in apart_from)
    else:
        yield from _within(path)


def _within(folder: Path) -> Iterator[Path]:
    for place, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted(names):
            if name.lower().endswith(CASES) and not name.startswith("."):
                yield Path(place, name)


def _lines(name: str, stream: BinaryIO) -> Iterator[Item]:
    """The lines of a stream that hold anything; one that is too long is passed over in pieces."""
    number = 0
    while line := stream.readline(LIMITS.size + 2):
        number += 1
        if not line.endswith(b"\n") and len(line) > LIMITS.size:
            while (piece := stream.readline(_PIECE)) and not piece.endswith(b"\n"):
                pass
            found, allowed = f"a line of more than {LIMITS.size:,} bytes", f"at most {LIMITS.size:,} bytes"
            yield Item(name, number, fault=Problem(name, number, "", found, allowed))
            continue
        try:
            text = line.decode("utf-8-sig" if number == 1 else "utf-8")
        except UnicodeDecodeError as fault:
            found = f"the byte 0x{line[fault.start]:02X}, which is not UTF-8"
            yield Item(name, number, fault=Problem(name, number, "", found, "text encoded as UTF-8"))
            continue
        if text.strip():
            yield Item(name, number, text.rstrip("\r\n"))
