"""The photographs that a case names: where they lie, whether they are still the ones recorded, and copies to send.

The files stay as they are; what is sent or printed is a scaled copy without metadata.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from engine.case.inside import inside
from engine.case.models import Case, Photograph
from engine.case.pictures import LARGEST_FILE, NotAPicture, Picture, scaled_copy
from engine.errors import InvalidInput, Problem

State = Literal["as-recorded", "not-recorded", "changed", "missing", "unreadable"]


@dataclass(frozen=True, slots=True)
class Held:
    """A photograph of an area (``position`` counts from nought) as it lies in the case's folder now.

    ``digest`` is SHA-256 of the file where it could be read; ``copy`` is there where one was asked for and could be
    made; ``warnings`` say what a reader should be told, each a clause that follows the name of the file.
    """

    area: str
    position: int
    photograph: Photograph
    state: State
    digest: str | None = None
    copy: Picture | None = None
    warnings: tuple[str, ...] = ()

    @property
    def told(self) -> tuple[str, ...]:
        """The warnings as sentences that begin with the file."""
        return tuple(f"{self.photograph.file}: {warning}" for warning in self.warnings)


def read_photographs(case: Case, folder: Path, *, longest_side: int | None = None) -> tuple[Held, ...]:
    """Every photograph of a case, in the order in which it lists them, each file read once.

    With ``longest_side`` [picture points] each has a copy to send. What is missing, changed or no picture is a warning.
    InvalidInput, with every fault, for paths or links that lead out of the case's folder.
    """
    places: list[tuple[str, int, Photograph, Path]] = []
    problems: list[Problem] = []
    for area in case.areas:
        for position, photograph in enumerate(area.photographs):
            try:
                places.append((area.id, position, photograph, inside(folder, photograph.file)))
            except InvalidInput as fault:
                problems += fault.problems
    if problems:
        raise InvalidInput(problems)
    return tuple(_held(area, position, photograph, path, longest_side) for area, position, photograph, path in places)


def _held(area: str, position: int, photograph: Photograph, path: Path, longest_side: int | None) -> Held:
    content = _content(path)
    if isinstance(content, str):
        state: State = "unreadable" if path.exists() else "missing"
        return Held(area, position, photograph, state, warnings=(content,))
    digest = hashlib.sha256(content).hexdigest()
    warnings: tuple[str, ...] = ()
    if photograph.sha256 is None:
        state = "not-recorded"
    elif photograph.sha256 == digest:
        state = "as-recorded"
    else:
        state, warnings = "changed", ("is not the file that was recorded (its digest differs)",)
    copy = None
    if longest_side is not None:
        try:
            copy = scaled_copy(content, longest_side)
        except NotAPicture as fault:
            warnings = (*warnings, str(fault))
    return Held(area, position, photograph, state, digest, copy, warnings)


def _content(path: Path) -> bytes | str:
    """What a file holds, or why it cannot be read."""
    if not path.exists():
        return "is not there"
    if not path.is_file():
        return "is no file"
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except OSError as fault:
        return f"cannot be opened: {fault.strerror or fault}"
    if len(content) > LARGEST_FILE:
        return f"has more than the {LARGEST_FILE:,} bytes that are read"
    return content
