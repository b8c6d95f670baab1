"""What a cell of the form says: numbers, days, words and lists, never guessed."""

from __future__ import annotations

import re
from typing import Any

from engine.case.numerals import NotANumber, Numerals
from engine.case.tables import Cell, Unusable
from engine.case.workbook.layout import Kind
from engine.reading import shown

_BETWEEN = re.compile(r"[,;\n]")
_NUMBER_LIKE = re.compile(r"[-+−]?[0-9][0-9.,'’\s]*")
_TRUTHS = {"yes": True, "no": False}


class Unreadable(Exception):
    """A cell that does not hold what its column asks for: what was found, what is allowed, and what to do."""

    def __init__(self, found: str, allowed: str, advice: str = "") -> None:
        self.found, self.allowed, self.advice = found, allowed, advice
        super().__init__(found)


def blank(cell: Cell) -> bool:
    """Whether a cell holds nothing, or nothing but spaces."""
    return isinstance(cell, str) and not cell.strip()


def number_text(kind: Kind, cell: Cell) -> str | None:
    """The text of a cell that is to be read as a number; None for every other cell."""
    if not isinstance(cell, str) or blank(cell):
        return None
    text = cell.strip()
    if kind in ("number", "numbers") or (kind == "value" and _NUMBER_LIKE.fullmatch(text)):
        return text
    return None


def converted(kind: Kind, cell: Cell, numerals: Numerals, allowed: str) -> Any:
    """What a filled cell says, as a case file would hold it; Unreadable with ``allowed`` when it does not say that."""
    if isinstance(cell, Unusable):
        raise Unreadable(cell.found, allowed, cell.advice)
    text = number_text(kind, cell)
    if text is not None:
        try:
            return _whole(numerals.number(text))
        except NotANumber as fault:
            raise Unreadable(fault.found, allowed, fault.advice) from None
    if isinstance(cell, float):
        return _from_number(kind, cell, allowed)
    if kind == "flag":
        word = cell.strip().lower()
        if word not in _TRUTHS:
            raise Unreadable(shown(cell), "yes or no")
        return _TRUTHS[word]
    if kind in ("word", "value"):
        return cell.strip().lower()
    if kind == "ids":
        return [part.strip() for part in _BETWEEN.split(cell) if part.strip()]
    return cell if kind == "text" else cell.strip()


def _from_number(kind: Kind, number: float, allowed: str) -> Any:
    if kind in ("number", "numbers", "value"):
        return _whole(number)
    if kind in ("id", "line", "text") and number.is_integer() and abs(number) < 1e15:
        return str(int(number))
    advice = "write the day as year-month-day" if kind == "day" else "format the cell as text and type it again"
    raise Unreadable(f"the number {number:g}", allowed, advice)


def _whole(number: float) -> float | int:
    return int(number) if number.is_integer() and abs(number) < 1e15 else number
