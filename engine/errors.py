"""Faults in what a person wrote, said so that they can mend them.

A fault in input is never a traceback. Every reader in the engine collects all the faults
that it finds as `Problem` records and raises them together as one `InvalidInput`.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault: where it stands, what was found, what is allowed, and what to do next.

    In a workbook ``cell`` names sheet and cell, such as ``Signs!B7``, and ``line`` is its row.
    """

    file: str
    line: int | None
    field: str
    found: str
    allowed: str
    advice: str = ""
    nearest: str | None = None
    cell: str = ""

    def sentence(self) -> str:
        """The fault as one line: ``file:line: field: found …; allowed: …; did you mean …``."""
        place = self.file if self.line is None else f"{self.file}:{self.cell or self.line}"
        text = f"{place}: {self.field}: found {self.found}" if self.field else f"{place}: found {self.found}"
        if self.allowed:
            text += f"; allowed: {self.allowed}"
        if self.nearest:
            text += f"; did you mean {self.nearest!r}?"
        if self.advice:
            text += f" ({self.advice})"
        return text

    def order(self) -> tuple[str, str, int, str, str]:
        """The key by which faults are listed: file, sheet, line, field, found."""
        return (self.file, self.cell.partition("!")[0], self.line or 0, self.field, self.found)


class InvalidInput(Exception):
    """All the faults of one input together; ``problems`` holds them in reading order."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(sorted(problems, key=Problem.order))
        super().__init__("\n".join(problem.sentence() for problem in self.problems))


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The allowed name closest in spelling to ``name``, or None when nothing is close."""
    close = difflib.get_close_matches(name, list(names), n=1, cutoff=0.6)
    return close[0] if close else None
