"""What the YAML and the JSON reader share: limits, paths, scalars' bounds, and the faults found so far."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from engine.errors import Problem

FieldPath = tuple[str | int, ...]
"""Where a part stands in a document: the names and list positions that lead to it, outermost first."""

LARGEST_WHOLE = 2**53
"""Whole numbers beyond this are no longer exact as floating-point numbers."""


@dataclass(frozen=True, slots=True)
class Limits:
    """How large a document may be: bytes, parts, nesting, aliases, growth by following aliases; faults listed."""

    size: int = 2 * 1024 * 1024
    parts: int = 300_000
    depth: int = 32
    aliases: int = 100
    expansion: int = 10
    faults: int = 200


class Unreadable(Exception):
    """A document cannot be read any further; why is recorded among the faults."""


@dataclass(slots=True)
class Reading:
    """One document being read: the faults found so far, and the line of each part."""

    name: str
    limits: Limits
    problems: list[Problem] = field(default_factory=list)
    lines: dict[FieldPath, int] = field(default_factory=dict)

    def fault(self, line: int | None, path: FieldPath, found: str, allowed: str, advice: str = "") -> None:
        """Record one fault and go on; Unreadable when there are more than can usefully be listed."""
        if len(self.problems) >= self.limits.faults:
            advice = "mend those listed first"
            self.problems.append(Problem(self.name, line, "", "more faults from here on, not listed", "", advice))
            raise Unreadable
        self.problems.append(Problem(self.name, line, readable(path), found, allowed, advice))

    def too_many(self, line: int) -> None:
        """Record that there are more values, lists and mappings than allowed; nothing is read after them."""
        found, advice = f"more than {self.limits.parts:,} values", "keep long series in files of their own"
        self.fault(line, (), found, f"at most {self.limits.parts:,}", advice)
        raise Unreadable

    def repeated(self, path: FieldPath, line: int) -> None:
        """Record that a name is given twice in one mapping; the first stays."""
        first = self.lines.get(path)
        found = f"the name {shown(path[-1])} a second time (first on line {first})"
        self.fault(line, path, found, "each name once", "remove one of the two, or put their contents together")

    def too_deep(self, path: FieldPath, line: int) -> None:
        """Record that the nesting is deeper than allowed."""
        found = f"nesting deeper than {self.limits.depth} levels"
        self.fault(line, path[:4], found, f"at most {self.limits.depth} levels")

    def number(self, text: str, path: FieldPath, line: int, base: int = 10) -> int | float | None:
        """The number that a text stands for; None, with a fault recorded, if it is not finite or not exact."""
        whole = base != 10 or text.lstrip("+-").isdigit()
        value = int(text, base) if whole and len(text) <= 40 else float(text) if base == 10 else math.inf
        if whole and abs(value) > LARGEST_WHOLE:
            found = f"the whole number {shorten(text)}, too long to be held exactly"
            self.fault(line, path, found, "at most 15 digits", "put it in quotes if it is a name or a serial number")
            return None
        if not math.isfinite(value):
            self.fault(line, path, f"{shorten(text)}, which is not a finite number", "a finite number")
            return None
        return value


def readable(path: FieldPath) -> str:
    """A path as people write it: ``areas[0].surfaces[1].readings[3].value``; list positions count from 0."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            text += ("." if text else "") + shorten(part, 64).replace("\n", " ")
    return text


def shown(value: object) -> str:
    """A value as it is quoted in a message: cut to a length that can be read, on one line."""
    return shorten(repr(value) if isinstance(value, str) else str(value))


def shorten(text: str, length: int = 60) -> str:
    """A text cut to a length, with an ellipsis where something was left out."""
    return text if len(text) <= length else text[: length - 1] + "…"
