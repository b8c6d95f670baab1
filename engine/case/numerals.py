"""Numbers as people write them, with a decimal point or a decimal comma, and never a guess between 1250 and 1.25."""

from __future__ import annotations

import re
from collections.abc import Iterable

from engine.reading import shown

_NUMBER = re.compile(r"([-+−]?)([0-9]{0,15})(?:([.,])([0-9]{1,15}))?")
_NO_THOUSANDS = "write it without a mark between thousands"


class NotANumber(Exception):
    """A text that is no number: what was found, and what to do."""

    def __init__(self, found: str, advice: str) -> None:
        self.found, self.advice = found, advice
        super().__init__(found)


class Numerals:
    """How the numbers of one file are written, gathered from all of them.

    A mark that is not followed by exactly three digits, or stands after a nought or after more than three, is surely
    decimal. Where none is sure, a point is decimal if commas stand between the fields (``separator``).
    """

    def __init__(self, texts: Iterable[str], separator: str | None = None) -> None:
        self.decimal: set[str] = set()
        for text in texts:
            match = _NUMBER.fullmatch(text)
            if match and match[3] and (len(match[4]) != 3 or match[2] in ("", "0") or len(match[2]) > 3):
                self.decimal.add(match[3])
        if not self.decimal and separator == ",":
            self.decimal.add(".")

    @property
    def mark(self) -> str | None:
        """The decimal mark of the file; None when no number needs one."""
        return next(iter(self.decimal)) if len(self.decimal) == 1 else None

    def number(self, text: str) -> float:
        """The number that a text stands for; NotANumber when it is none, or could be two."""
        match = _NUMBER.fullmatch(text)
        if not match or not (match[2] or match[4]):
            marks = len(re.findall(r"[.,'’\s]", text)) > 1 or re.fullmatch(r"[0-9]+\s[0-9]+", text)
            advice = _NO_THOUSANDS if marks and re.fullmatch(r"[-+−0-9.,'’\s]+", text) else "write the number alone"
            raise NotANumber(shown(text), advice)
        sign, whole, mark, fraction = match.groups()
        if mark and len(self.decimal) > 1:
            raise NotANumber(f"{text} in a file with both decimal points and decimal commas", "write all the same way")
        if mark and self.decimal and mark not in self.decimal:
            raise NotANumber(f"{text} in a file of decimal {_NAMES[self.mark or '']}s", _NO_THOUSANDS)
        if mark and not self.decimal:
            either = f"{text}, which could be {whole}{fraction} or {whole}.{fraction}"
            raise NotANumber(either, f"{_NO_THOUSANDS}, or with another number of decimals")
        return float(f"{sign.replace('−', '-')}{whole or '0'}.{fraction or '0'}")


_NAMES = {".": "point", ",": "comma", "": "mark"}
