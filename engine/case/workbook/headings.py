"""The headings of a sheet, and its rows below them, each cell with its name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from engine.case.columns import plain
from engine.case.tables import Cell, Row
from engine.case.workbook.cells import blank
from engine.case.workbook.layout import REPEATS, Column
from engine.errors import Problem, nearest
from engine.reading import shown


@dataclass(frozen=True, slots=True)
class Entry:
    """One cell of a row: what it holds, its name such as B7, and the column to which it belongs."""

    column: Column
    heading: str
    cell: Cell
    name: str


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a sheet: its number and every cell below a heading, also the empty ones."""

    row: int
    entries: tuple[Entry, ...]

    def entry(self, field: str) -> Entry | None:
        """The cell of a field; None where the sheet has no such column."""
        return next((entry for entry in self.entries if entry.column.field == field), None)


@dataclass(frozen=True, slots=True)
class Ruled:
    """A sheet with its headings understood: its rows, the columns it lacks, and the faults of its headings."""

    lines: tuple[Line, ...]
    lacking: tuple[Column, ...]
    problems: tuple[Problem, ...]


def ruled(file: str, title: str, columns: Sequence[Column], rows: Sequence[Row]) -> Ruled:
    """The rows of a sheet under its headings, those in its first row with content; empty rows are left out."""
    filled = [row for row in rows if not all(blank(cell) for cell in row.cells)]
    if not filled:
        return Ruled((), (), ())
    header, body = filled[0], filled[1:]
    found: dict[int, tuple[Column, str]] = {}
    problems: list[Problem] = []
    for place, cell in enumerate(header.cells):
        heading = cell.strip() if isinstance(cell, str) else str(getattr(cell, "found", cell))
        column = next((one for one in columns if _names(one, heading)), None)
        known = [column.heading for column in columns]
        if column is None and (heading or any(not blank(row.cells[place]) for row in body if place < len(row.cells))):
            what = f"the unknown column {shown(heading)}" if heading else "a column without a heading"
            close = nearest(heading[:80], known) if heading else None
            advice = "rename it, or take it out" if heading else "name it, or take it out"
            problems.append(
                _fault(file, title, place, header.line, what, f"the columns {', '.join(known)}", advice, close)
            )
        elif column is not None and not column.many and any(column is other for other, _ in found.values()):
            what = f"a second column {shown(heading)}"
            problems.append(_fault(file, title, place, header.line, what, "each column once", "take one of them out"))
        elif column is not None:
            found[place] = (column, heading)
    lines = tuple(Line(row.line, tuple(_entries(found, row))) for row in body)
    given = {column.field for column, _ in found.values()}
    return Ruled(lines, tuple(column for column in columns if column.field not in given), tuple(problems))


def _names(column: Column, heading: str) -> bool:
    name = plain(column.heading)
    if column.many:
        match = re.fullmatch(rf"{name}_?([0-9]{{1,2}})?", plain(heading))
        return bool(match) and 1 <= int((match and match[1]) or 1) <= REPEATS
    return plain(heading) == name


def _entries(found: dict[int, tuple[Column, str]], row: Row) -> Iterator[Entry]:
    for place, (column, heading) in found.items():
        cell = row.cells[place] if place < len(row.cells) else ""
        yield Entry(column, heading, cell, f"{letters(place)}{row.line}")


def _fault(
    file: str, title: str, place: int, row: int, found: str, allowed: str, advice: str, close: str | None = None
) -> Problem:
    return Problem(file, row, "", found, allowed, advice, close, f"{title}!{letters(place)}{row}")


def letters(place: int) -> str:
    """The letters of a column, counted from nought: A, B, … Z, AA."""
    name = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        name = chr(ord("A") + rest) + name
    return name
