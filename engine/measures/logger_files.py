"""Loggers' files: separated text with a time and numbers on each row, read without guessing what may mislead.

Taken: comma, semicolon, tab or bar between fields; decimal point or comma; a preamble above the header; date and
time in one field or two; UTF-8, UTF-16 with its mark, or Windows-1252. Refused, with rows named: dates whose day
and month could be either way round, Fahrenheit, humidity as a fraction, numbers that are none, paths that leave
the case's own folder.
"""

from __future__ import annotations

import csv
import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from engine.errors import InvalidInput, Problem
from engine.measures.logger_times import DateOrder, read_times, refuse
from engine.measures.ranges import FloatArray
from engine.reading import shown

LARGEST_FILE = 64 * 1024 * 1024
"""Largest file that is read [bytes]; a year of ten-minute values is about 2 MiB."""

Times = NDArray[np.datetime64]

_DATE = re.compile(r"(?:\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.](?:\d{4}|\d{2}))")
_COLUMNS = (
    ("dew-point", re.compile(r"dew|tau", re.I)),
    ("humidity", re.compile(r"hum|\brh\b|r\.h|hygro", re.I)),
    ("rain", re.compile(r"rain|precip", re.I)),
    ("moisture", re.compile(r"moist|\bmc\b|\bwme\b", re.I)),
    ("temperature", re.compile(r"temp|°\s*[cf]|celsius|fahrenheit|deg\s*c", re.I)),
)
_BY_KIND = {
    "rain": ("rain",),
    "timber": ("moisture", "temperature"),
    "surface": ("temperature", "humidity"),
}
_DEFAULT = ("temperature", "humidity")
_UNITS = {"temperature": "°C", "dew-point": "°C", "humidity": "%", "moisture": "%", "rain": "mm"}
_RANGES = {
    "temperature": (-45.0, 60.0),
    "dew-point": (-60.0, 60.0),
    "humidity": (0.0, 100.0),
    "moisture": (0.0, 200.0),
    "rain": (0.0, 500.0),
}
_MISSING = frozenset({"", "-", "--", "---", "n/a", "na", "nan", "null"})


@dataclass(frozen=True)
class Record:
    """A logger's series: times in rising order and one array per column, NaN where nothing was logged.

    Columns: temperature and dew-point [°C], humidity and moisture [%], rain [mm per interval].
    """

    times: Times
    columns: dict[str, FloatArray]
    doubts: tuple[str, ...]


def read_logger_file(
    folder: Path, file: str, kind: str, *, date_order: DateOrder | None = None, sha256: str | None = None
) -> Record:
    """The series in a file inside the case's own folder.

    ``kind`` is the logger's kind in the case; it says which numbers to expect where no header names them.
    InvalidInput with every fault found (the first 20 rows listed, the rest counted). Values outside a column's
    range, unsorted and repeated times are left out with a doubt that counts them.
    """
    text, doubts = _text(folder, file, sha256)
    rows, numbers, header = _rows(text, file)
    if not _DATE.match(rows[0][0].strip()):  # a running number before the time
        rows, header = [row[1:] for row in rows], header[1:]
    split = _time_fields(rows)
    stamps = [row[0].strip() if split == 1 else f"{row[0].strip()} {row[1].strip()}" for row in rows]
    times = read_times(stamps, numbers, file, date_order)
    names = _names(header, rows, split, kind, file)
    columns = _values(rows, numbers, names, file)
    for name in names.values():
        columns[name] = _plausible(name, columns[name], header, file, doubts)
    _check_dew_points(columns, file, doubts)
    order = np.argsort(times, kind="stable")
    if np.any(np.diff(times) < np.timedelta64(0, "s")):
        doubts.append(f"{file}: the rows are not in order of time; they were sorted")
    keep = order[np.concatenate(([True], np.diff(times[order]) > np.timedelta64(0, "s")))]
    if len(keep) < len(times):
        doubts.append(f"{file}: {len(times) - len(keep)} rows repeat a time; the first of each was kept")
    return Record(times[keep], {name: values[keep] for name, values in columns.items()}, tuple(doubts))


def _text(folder: Path, file: str, sha256: str | None) -> tuple[str, list[str]]:
    home = folder.resolve()
    path = (home / file).resolve()
    inside = "a file inside the folder of the case"
    if not path.is_relative_to(home):
        raise InvalidInput([Problem(file, None, "file", "a path that leaves the case's folder", inside)])
    if not path.is_file():
        advice = "copy the logger's file beside the case"
        raise InvalidInput([Problem(file, None, "file", "no such file", inside, advice)])
    if path.stat().st_size > LARGEST_FILE:
        found = f"{path.stat().st_size} bytes"
        raise InvalidInput([Problem(file, None, "file", found, f"at most {LARGEST_FILE} bytes")])
    data = path.read_bytes()
    doubts = []
    if sha256 is not None and hashlib.sha256(data).hexdigest() != sha256:
        doubts.append(f"{file}: the file has changed since the case was written (its digest differs)")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace"), doubts
    try:
        return data.decode("utf-8-sig"), doubts
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), doubts


def _rows(text: str, file: str) -> tuple[list[list[str]], list[int], list[str]]:
    """Rows that begin with a date, their line numbers, and the header above the first of them."""
    lines = text.splitlines()
    first = next((number for number, line in enumerate(lines) if _starts_with_date(line)), None)
    if first is None:
        advice = "each row needs a date and time first, such as 2025-01-31 13:50"
        raise InvalidInput(
            [Problem(file, None, "", "no row that begins with a date", "rows of time and values", advice)]
        )
    separator = _separator(lines[first])
    rows: list[list[str]] = []
    numbers: list[int] = []
    problems: list[Problem] = []
    above = [fields for fields in csv.reader(lines[:first], delimiter=separator) if any(f.strip() for f in fields)]
    named = len(above[-1]) if above else 0
    for number, cells in enumerate(csv.reader(lines[first:], delimiter=separator), start=first + 1):
        while cells and not cells[-1].strip():
            cells.pop()
        if not cells:
            continue
        if named > 1 and len(cells) > named:
            advice = "a decimal comma with commas between fields cannot be told apart; export with semicolons"
            problems.append(Problem(file, number, "", f"{len(cells)} fields", f"{named}, as in the header", advice))
        rows.append(cells)
        numbers.append(number)
    refuse(problems)
    width = max(map(len, rows))
    for row in rows:
        row.extend([""] * (width - len(row)))
    return rows, numbers, [f.strip() for f in above[-1]] if above else []


def _starts_with_date(line: str) -> bool:
    return re.match(r"""\s*(?:["']?\d+["']?\s*[,;\t|]\s*)?["']?""" + _DATE.pattern + r"(?!\d)", line) is not None


def _separator(line: str) -> str:
    return next((mark for mark in (";", "\t", "|") if mark in line), ",")


def _time_fields(rows: list[list[str]]) -> int:
    """How many fields hold the time: two where the first is a date and the second a clock time."""
    cells = rows[0]
    alone = ":" not in cells[0]
    return 2 if alone and len(cells) > 1 and re.match(r"\s*\d{1,2}:\d{2}", cells[1]) else 1


def _names(header: list[str], rows: list[list[str]], split: int, kind: str, file: str) -> dict[int, str]:
    """Which field holds which column: by the header, else by the logger's kind in order."""
    width = len(rows[0])
    if width <= split:
        raise InvalidInput([Problem(file, None, "", "rows with a time and no value", "a value after the time")])
    names: dict[int, str] = {}
    for index in range(split, min(width, len(header))):
        for name, pattern in _COLUMNS:
            if pattern.search(header[index]) and name not in names.values():
                names[index] = name
                break
    expected = _BY_KIND.get(kind, _DEFAULT)
    if not set(names.values()) & set(expected):
        if width - split > len(expected):
            found = f"{width - split} values on each row and no header that names them"
            allowed = " and ".join(expected)
            raise InvalidInput([Problem(file, None, "", found, allowed, "put a header row above the first row")])
        names = {split + place: name for place, name in enumerate(expected) if split + place < width}
    return names


def _values(rows: list[list[str]], numbers: list[int], names: dict[int, str], file: str) -> dict[str, FloatArray]:
    columns: dict[str, FloatArray] = {}
    problems: list[Problem] = []
    for index, name in names.items():
        cells = [row[index].strip() for row in rows]
        if any("," in cell for cell in cells):
            cells = [cell.replace(".", "").replace(",", ".") if "," in cell else cell for cell in cells]
        try:
            columns[name] = np.array([cell or "nan" for cell in cells], dtype=np.float64)
            continue
        except ValueError:
            pass
        values = np.full(len(cells), np.nan)
        for row, cell in enumerate(cells):
            if cell.lower() in _MISSING:
                continue
            try:
                values[row] = float(cell)
            except ValueError:
                found = rows[row][index]
                problems.append(
                    Problem(file, numbers[row], name, shown(found), f"a number in {_UNITS[name]}, or nothing")
                )
        columns[name] = values
    refuse(problems)
    return columns


def _plausible(name: str, values: FloatArray, header: list[str], file: str, doubts: list[str]) -> FloatArray:
    known = values[np.isfinite(values)]
    if name in ("temperature", "dew-point") and known.size:
        middle = float(np.median(known))
        said = any(re.search(r"fahrenheit|°\s*f\b|\bdeg\s*f\b", text, re.I) for text in header)
        if said or (name == "temperature" and middle > 45):
            found = (
                "temperatures in Fahrenheit" if said else f"temperatures about {middle:.0f}, which read like Fahrenheit"
            )
            raise InvalidInput([Problem(file, None, name, found, "degrees Celsius", "export again in °C")])
    if name == "humidity" and known.size and float(np.max(known)) <= 1.0:
        found = f"humidities up to {np.max(known):.2f}, which read like fractions"
        raise InvalidInput([Problem(file, None, name, found, "percent, 0 to 100", "export again in %")])
    least, greatest = _RANGES[name]
    with np.errstate(invalid="ignore"):
        outside = (values < least) | (values > greatest) | np.isinf(values)
    if not outside.any():
        return values
    example = values[outside][0]
    doubts.append(
        f"{file}: {int(outside.sum())} values of {name} lie outside {least:g} to {greatest:g} {_UNITS[name]} "
        f"(the first is {example:g}) and were left out"
    )
    return np.where(outside, np.nan, values)


def _check_dew_points(columns: dict[str, FloatArray], file: str, doubts: list[str]) -> None:
    if {"temperature", "dew-point"} <= set(columns):
        with np.errstate(invalid="ignore"):
            impossible = int(np.sum(columns["dew-point"] > columns["temperature"] + 0.3))
        if impossible:
            doubts.append(
                f"{file}: the logged dew point lies above the air temperature in {impossible} rows, which cannot be"
            )
