"""Tables that people fill in: rows under a header, read without guessing what could mislead.

Separated text is UTF-8 with comma, semicolon or tab between fields. What stands in a cell is data: a text that looks
like a formula or like markup stays text.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from engine.documents import read_text
from engine.errors import InvalidInput, Problem
from engine.reading import Limits, shown

MOST_ROWS = 20_000
MOST_COLUMNS = 50
LARGEST_TEXT = Limits(size=4 * 1024 * 1024)

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
_STATED = re.compile(r"""\s*"?sep=(.)"?\s*""", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Unusable:
    """A cell that holds something else than text or a number: what was found, and what to do."""

    found: str
    advice: str = ""


Cell = str | float | Unusable
"""The content of a cell: text (empty where there is nothing), a number that a workbook holds as such, or neither."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table and its line in the file, or its row number in a workbook."""

    line: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table as read: its header and rows, all as long as the header, and how the file was understood.

    ``separator`` is that of separated text, ``sheet`` the sheet of a workbook; ``remarks`` say what a reader of the
    preview should know.
    """

    name: str
    header: Row
    rows: tuple[Row, ...]
    separator: str | None = None
    sheet: str | None = None
    remarks: tuple[str, ...] = ()


def read_table(path: Path, recognised: Callable[[str], bool], *, sheet: str | None = None) -> Table:
    """The table in a .csv, .tsv or .txt file, or in a sheet of an .xlsx workbook.

    ``recognised`` tells whether a header is one that the caller knows: the separator of text is the one under which
    most headers are recognised. InvalidInput with every fault of the file's form: unreadable, not UTF-8, no
    separator or two, more fields than headers, more than 20 000 rows or 50 columns.
    """
    suffix = path.suffix.lower()
    if suffix == ".xlsx":
        from engine.case.workbooks import read_workbook

        return read_workbook(path, sheet)
    if suffix not in (".csv", ".tsv", ".txt"):
        found, allowed = f"a file whose name ends in {suffix or 'nothing'}", ".csv, .tsv, .txt or .xlsx"
        raise refused(path, None, "", found, allowed, "save the table as separated text in UTF-8, or as .xlsx")
    if sheet is not None:
        raise refused(path, None, "sheet", f"{shown(sheet)} for a file of text", "a sheet of a workbook only")
    return _separated(path, recognised)


def refused(path: Path, line: int | None, field: str, found: str, allowed: str, advice: str = "") -> InvalidInput:
    """The refusal of a table for one fault."""
    return InvalidInput([Problem(str(path), line, field, found, allowed, advice)])


def assembled(path: Path, rows: Iterator[Row], *, separator: str | None = None, sheet: str | None = None) -> Table:
    """A table from its rows, the first with content being the header; InvalidInput with every fault of its form."""
    header: Row | None = None
    body: list[Row] = []
    problems: list[Problem] = []
    for row in rows:
        cells = row.cells
        while cells and cells[-1] == "":
            cells = cells[:-1]
        if not cells:
            continue
        if header is None:
            header = Row(row.line, cells)
            if len(cells) > MOST_COLUMNS:
                raise refused(path, row.line, "", f"{len(cells)} columns", f"at most {MOST_COLUMNS}")
        elif len(cells) > len(header.cells):
            advice = "a decimal comma with commas between fields must stand in quotes" if separator == "," else ""
            found = f"a row of {len(cells)} fields"
            problems.append(Problem(str(path), row.line, "", found, f"{len(header.cells)}, as in the header", advice))
        else:
            body.append(Row(row.line, cells + ("",) * (len(header.cells) - len(cells))))
        if len(body) > MOST_ROWS:
            raise refused(path, row.line, "", f"more than {MOST_ROWS:,} rows", f"at most {MOST_ROWS:,}")
        if len(problems) > LARGEST_TEXT.faults:
            break
    if problems:
        raise InvalidInput(problems)
    if header is None or not body:
        found = "an empty file" if header is None else "a header without rows"
        raise refused(path, header.line if header else None, "", found, "a header row and rows of readings below it")
    return Table(str(path), header, tuple(body), separator, sheet)


def _separated(path: Path, recognised: Callable[[str], bool]) -> Table:
    text = read_text(path, limits=LARGEST_TEXT)
    stated = _STATED.fullmatch(next(iter(io.StringIO(text)), ""))
    if stated and stated[1] in SEPARATORS:
        rows = _rows(path, text, stated[1])
        next(rows)
        return assembled(path, rows, separator=stated[1])
    return assembled(path, _rows(path, text, separator := _separator(path, text, recognised)), separator=separator)


def _separator(path: Path, text: str, recognised: Callable[[str], bool]) -> str:
    """The separator under which most headers are recognised; refused when none is, or two do equally well."""
    found: dict[str, int] = {}
    header: tuple[Cell, ...] = ()
    for separator in SEPARATORS:
        cells = next((row.cells for row in _rows(path, text, separator) if any(row.cells)), ())
        found[separator] = sum(recognised(str(cell)) for cell in cells) if len(cells) > 1 else 0
        header = max(header, cells, key=len)
    best = max(found.values())
    named = [separator for separator, count in found.items() if count == best]
    if best and len(named) == 1:
        return named[0]
    if not header:
        raise refused(path, None, "", "an empty file", "a header row and rows of readings below it")
    allowed = f"a header of column names with {', '.join(SEPARATORS.values())} between them"
    advice = "the first row must name the columns, such as x_mm, y_mm, instrument, value"
    raise refused(path, 1, "", f"a first row that reads {shown(text.strip().splitlines()[0])}", allowed, advice)


def _rows(path: Path, text: str, separator: str) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            advice = "is a quotation mark left open, or text written after one?"
            found = f"a row that cannot be read ({error})"
            raise refused(
                path, line, "", found, f"fields with a {SEPARATORS[separator]} between them", advice
            ) from None
        yield Row(line, tuple(cell.strip() for cell in cells))
