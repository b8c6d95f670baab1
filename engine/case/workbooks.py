"""Sheets of .xlsx workbooks as tables: stored values only, nothing reckoned, nothing fetched, and bounded.

A workbook is a compressed archive of XML, so it is measured before it is opened (engine.archives).
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import zip_longest
from pathlib import Path
from typing import Any

from engine.archives import LARGEST_FILE, Declares, NoArchive, TooLarge, check_archive
from engine.case.tables import MOST_COLUMNS, MOST_ROWS, Cell, Row, Table, Unusable, assembled, refused
from engine.documents import printable
from engine.errors import InvalidInput, Problem, nearest
from engine.reading import shown

LAST_ROW = 1_048_576
_AS_WORKBOOK = "save the sheet again as .xlsx, or as separated text in UTF-8"


def read_workbook(path: Path, sheet: str | None) -> Table:
    """The table in a sheet of a workbook; the name of the sheet is needed where there are several.

    InvalidInput for what is no workbook, is encrypted, or would unpack to more than 32 MiB of XML, and for the
    faults of form that `read_table` names.
    """
    seen = _Seen()
    with _opened(path) as (values, formulas):
        name = _chosen(path, [str(one.title) for one in values.worksheets], sheet)
        table = assembled(path, _rows(path, values[name], formulas[name], seen), sheet=name)
    if seen.formulas:
        remark = f"{seen.formulas} cells hold formulas; the values stored with them were taken"
        table = Table(table.name, table.header, table.rows, None, name, (remark,))
    return table


def read_sheets(path: Path, passed_over: Collection[str] = ()) -> dict[str, tuple[Row, ...]]:
    """The rows of every sheet of a workbook but some, by title: days as year-month-day, text as it stands.

    InvalidInput as for `read_workbook`, and for more than 20 000 filled rows or 50 columns in a sheet.
    """
    with _opened(path) as (values, formulas):
        titles = [str(one.title) for one in values.worksheets if one.title not in passed_over]
        return {title: tuple(_rows(path, values[title], formulas[title], _Seen(days=True))) for title in titles}


@contextmanager
def _opened(path: Path) -> Iterator[tuple[Any, Any]]:
    """A workbook twice, with the values stored and with the formulas; what it stumbles over is the file's fault."""
    content = _content(path)
    _measured(path, content)
    import openpyxl

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts of a workbook that hold no values
            values = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
            formulas = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=False, keep_links=False)
            yield values, formulas
    except InvalidInput:
        raise
    except Exception as error:  # whatever a damaged file makes the reader stumble over, it is the file's fault
        found = f"a workbook that cannot be read ({type(error).__name__})"
        raise refused(path, None, "", found, "an .xlsx workbook", _AS_WORKBOOK) from None


@dataclass(slots=True)
class _Seen:
    """The formulas met so far; whether days are taken, and text left as it stands."""

    formulas: int = 0
    days: bool = False


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        found = f"a file that cannot be opened: {reason}"
        raise refused(path, None, "", found, "a file that can be read", "check the name and the folder") from None
    if len(content) > LARGEST_FILE:
        raise refused(path, None, "", f"a file of more than {LARGEST_FILE:,} bytes", f"at most {LARGEST_FILE:,} bytes")
    return content


def _measured(path: Path, content: bytes) -> None:
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        found = "a workbook of an older format, or one with a password"
        raise refused(path, None, "", found, "an .xlsx workbook without password", _AS_WORKBOOK)
    try:
        check_archive(content)
    except TooLarge as fault:
        found = "a workbook that would unpack to more than can be read"
        raise refused(path, None, "", found, str(fault), "save the one sheet as a workbook of its own") from None
    except Declares as fault:
        found = f"a part that declares entities ({fault})"
        raise refused(path, None, "", found, "plain workbook parts", _AS_WORKBOOK) from None
    except NoArchive:
        raise refused(path, None, "", "a file that is no workbook", "an .xlsx workbook", _AS_WORKBOOK) from None


def _chosen(path: Path, names: list[str], sheet: str | None) -> str:
    if sheet is None and len(names) == 1:
        return names[0]
    if sheet in names:
        return str(sheet)
    found = "a workbook of several sheets" if sheet is None else f"no sheet {shown(sheet)}"
    close = nearest(sheet[:80], names) if sheet else None
    allowed = f"one of {', '.join(shown(name) for name in names[:20])}"
    raise InvalidInput([Problem(str(path), None, "sheet", found, allowed, "name the sheet", close)])


def _rows(path: Path, values: Any, formulas: Any, seen: _Seen) -> Iterator[Row]:
    for sheet in (values, formulas):
        sheet.reset_dimensions()
    limit = MOST_COLUMNS + 1
    pairs = zip_longest(values.iter_rows(), formulas.iter_rows(), fillvalue=())
    filled = 0
    for number, (stored, written) in enumerate(pairs, start=1):
        if number > LAST_ROW:
            raise refused(path, None, "", f"rows beyond {LAST_ROW:,}", f"at most {MOST_ROWS:,} rows", _AS_WORKBOOK)
        beyond = [cell for cell in (*stored[limit:], *written[limit:]) if cell.value is not None]
        if beyond:
            raise refused(path, number, "", "a cell far to the right of the table", f"at most {MOST_COLUMNS} columns")
        cells = tuple(
            _cell(one, other, seen) for one, other in zip_longest(stored[:limit], written[:limit], fillvalue=None)
        )
        filled += any(cell != "" for cell in cells)
        if filled > MOST_ROWS + 1:
            raise refused(path, number, "", f"more than {MOST_ROWS:,} rows", f"at most {MOST_ROWS:,}")
        yield Row(number, cells)


def _cell(stored: Any, written: Any, seen: _Seen) -> Cell:
    value = getattr(stored, "value", None)
    if getattr(written, "data_type", None) == "f" and getattr(written, "value", None) is not None:
        if value is None:
            advice = "open the workbook where it was made and save it again, or type the value"
            return Unusable("a formula without a stored value", advice)
        seen.formulas += 1
    if value is None:
        return ""
    if getattr(stored, "data_type", "") == "e":
        return Unusable(f"the error {shown(value)}", "correct the formula, or type the value")
    if isinstance(value, bool):
        return Unusable(str(value).lower())
    if seen.days and isinstance(value, date) and (not isinstance(value, datetime) or value.time() == time()):
        return f"{value:%Y-%m-%d}"
    if isinstance(value, (datetime, date, time, timedelta)):
        return Unusable(f"a date or time ({value})", "a spreadsheet may have taken a number for a date; type it again")
    if isinstance(value, (int, float)):
        if "%" in str(getattr(stored, "number_format", "")):
            return Unusable(f"{value:g} in percent format, shown as {100 * value:g} %", "format the column as numbers")
        return float(value)
    text = str(value).strip() if not seen.days else str(value).replace("_x000D_\n", "\n").replace("\r\n", "\n")
    return text if printable(text) else Unusable("a text with unprintable characters", "type it again")
