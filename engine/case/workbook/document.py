"""A filled-in workbook as a document, whose faults name sheet and cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.documents import Document, FieldPath, readable
from engine.errors import Problem


@dataclass(frozen=True)
class Spot:
    """A cell, or a row by its first cell, and the heading above it."""

    sheet: str
    cell: str
    row: int
    heading: str = ""


@dataclass(frozen=True)
class WorkbookDocument(Document):
    """What the sheets of a workbook hold, and the cell of every field that they hold or could hold."""

    spots: Mapping[FieldPath, Spot]

    def spot(self, path: FieldPath) -> Spot | None:
        """The cell of a part, or of the nearest part around it; None for what no sheet holds."""
        return next((self.spots[path[:end]] for end in range(len(path), 0, -1) if path[:end] in self.spots), None)

    def place(self, path: FieldPath) -> str:
        """Where a part stands, in words."""
        spot = self.spot(path)
        return f"row {spot.row} of {spot.sheet}" if spot else "another sheet"

    def problem(self, path: FieldPath, found: str, allowed: str, advice: str = "", close: str | None = None) -> Problem:
        """A fault of a part, with sheet, cell and heading."""
        spot = self.spot(path)
        if spot is None:
            return Problem(self.name, None, readable(path), found, allowed, advice, close)
        if found == "no such field":
            found, advice = "an empty cell", "fill it in"
        cell = f"{spot.sheet}!{spot.cell}"
        return Problem(self.name, spot.row, spot.heading, found, allowed, advice, close, cell)
