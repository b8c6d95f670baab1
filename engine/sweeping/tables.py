"""The rows of a sweep, and the files that they are written to as they come: .csv, .xlsx and .jsonl."""

from __future__ import annotations

import csv
import json
import os
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import IO, Any, Protocol

from engine.inert import encodable, inert, one_line
from engine.sweeping.working import WEIGHED

Value = str | int | None
Found = Mapping[str, Any]
MOST_ROWS = 1_048_575
"""Rows below the heading that a sheet can hold."""
LONGEST = 2_000
"""Characters in one cell; what is longer is cut and ends with an ellipsis."""


def _joined(field: str, of: str | None = None) -> Callable[[Found, Found], Value]:
    return lambda case, area: "; ".join(one[of] if of else one for one in area[field])


def _area(field: str) -> Callable[[Found, Found], Value]:
    return lambda case, area: area[field]


def _dates(field: str) -> Callable[[Found, Found], Value]:
    return lambda case, area: case["dates"].get(field)


def _next(case: Found, area: Found) -> Found:
    return case["dates"].get("next") or {}


COLUMNS: dict[str, Callable[[Found, Found], Value]] = {
    "case": lambda case, area: case["case"]["id"],
    "title": lambda case, area: case["case"]["title"],
    "file": lambda case, area: case["file"],
    "line": lambda case, area: case["line"],
    "dwelling": lambda case, area: case["dwelling"]["title"],
    "address": lambda case, area: case["dwelling"]["address"],
    "area": _area("id"),
    "area title": _area("title"),
    "determined": lambda case, area: "yes" if area["determined"] else "no",
    "level": lambda case, area: area["level"] if area["determined"] else None,
    "leading causes": _joined("leading", "title"),
    "belief": _joined("leading", "words"),
    "belief band": _joined("leading", "band"),
    "mechanisms": _joined("mechanisms"),
    "no active damp": _area("no_active_damp"),
    "timber": _area("timber"),
    "cautions": _joined("cautions", "title"),
    "missing": _joined("missing"),
    "not inspected": _joined("not_inspected"),
    "why not determined": _joined("why_not_determined"),
    "next step": lambda case, area: (area["next_step"] or {}).get("title"),
    "by whom": lambda case, area: (area["next_step"] or {}).get("who"),
    "how soon": lambda case, area: (area["next_step"] or {}).get("urgency"),
    "reported on": lambda case, area: case["reported_on"],
    "days since report": _dates("days_since_report"),
    "investigation finished on": lambda case, area: case["investigation_finished_on"],
    "possible duty": _dates("pack"),
    "past the last day of": lambda case, area: "; ".join(one["title"] for one in case["dates"].get("past", ())),
    "next last day": lambda case, area: _next(case, area).get("due"),
    "next limit": lambda case, area: _next(case, area).get("title"),
    "invented": lambda case, area: "yes" if case["invented"] else "no",
    "fault": lambda case, area: None,
    "case digest": lambda case, area: case["case"]["digest"],
    "rule base digest": lambda case, area: case["rulebook"],
    "version": lambda case, area: case["version"],
}
"""The columns of a table in their order, each with what stands in it for one area of a case."""


def rows(result: Found) -> Iterator[list[Value]]:
    """One row for each area of a case; one row with the fault for a case that could not be weighed."""
    if result["state"] == WEIGHED:
        for area in result["areas"]:
            yield [_cut(column(result, area)) for column in COLUMNS.values()]
        return
    more = [f"and {result['more']} more faults"] if result["more"] else []
    faults = " | ".join([*(fault["sentence"] for fault in result["faults"]), *more])
    known: dict[str, Value] = {"file": result["file"], "line": result["line"], "fault": faults}
    yield [_cut(known.get(name)) for name in COLUMNS]


def _cut(value: Value) -> Value:
    return value if not isinstance(value, str) or len(value) <= LONGEST else value[: LONGEST - 1] + "…"


class Writer(Protocol):
    """A file that results are written to as they come."""

    def write(self, result: Found) -> None:
        """Write one result."""

    def close(self) -> None:
        """Finish the file; what was written stays."""


class Csv:
    """Separated text in UTF-8 with byte order mark, commas, every text quoted and none a formula."""

    def __init__(self, path: Path) -> None:
        self._file: IO[str] = path.open("w", encoding="utf-8-sig", newline="")
        self._rows = csv.writer(self._file, quoting=csv.QUOTE_NONNUMERIC)
        self._rows.writerow(list(COLUMNS))

    def write(self, result: Found) -> None:
        """Write one result."""
        for row in rows(result):
            self._rows.writerow([inert(value) if isinstance(value, str) else value for value in row])
        self._file.flush()

    def close(self) -> None:
        """Finish the file."""
        self._file.close()


class JsonLines:
    """One case on each line, with everything that is known of it."""

    def __init__(self, path: Path) -> None:
        self._file: IO[str] = path.open("w", encoding="utf-8", newline="\n")

    def write(self, result: Found) -> None:
        """Write one result."""
        self._file.write(encodable(json.dumps(result, ensure_ascii=False, separators=(",", ":"))) + "\n")
        self._file.flush()

    def close(self) -> None:
        """Finish the file."""
        self._file.close()


class Workbook:
    """One sheet; its rows wait in a temporary file, and the workbook stands there once it is closed.

    Every text is stored as text, so that none is a formula.
    """

    def __init__(self, path: Path) -> None:
        import openpyxl

        self._path = path
        self._book = openpyxl.Workbook(write_only=True)
        self._sheet = self._book.create_sheet("Cases")
        self._sheet.freeze_panes = "B2"
        self._sheet.append(list(COLUMNS))
        self._count = 0

    def write(self, result: Found) -> None:
        """Write one result."""
        for row in rows(result):
            self._count += 1
            if self._count > MOST_ROWS:
                raise OSError(
                    0, f"more than {MOST_ROWS:,} rows, which no sheet holds: sweep into .csv", str(self._path)
                )
            self._sheet.append([self._cell(value) for value in row])

    def close(self) -> None:
        """Finish the file."""
        part = self._path.with_name(f".{self._path.name}.part")
        try:
            self._book.save(part)
            os.replace(part, self._path)
        except BaseException:
            part.unlink(missing_ok=True)
            raise

    def _cell(self, value: Value) -> Any:
        if not isinstance(value, str):
            return value
        from openpyxl.cell import WriteOnlyCell

        cell = WriteOnlyCell(self._sheet)
        cell.value = one_line(value)
        cell.data_type = "s"
        return cell


WRITERS: dict[str, Callable[[Path], Writer]] = {".csv": Csv, ".xlsx": Workbook, ".jsonl": JsonLines}
"""What writes a file, by how its name ends."""
