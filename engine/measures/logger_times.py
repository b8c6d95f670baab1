"""Times in loggers' files: one order of day, month and year for the whole file, never guessed where it matters."""

from __future__ import annotations

import re
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from engine.errors import InvalidInput, Problem
from engine.reading import shown

DateOrder = Literal["year-first", "day-first", "month-first"]

MOST_PROBLEMS = 20
"""How many faulty rows are listed before the rest are only counted."""

_STAMP = re.compile(
    r"(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})"
    r"(?:[T,\s]+(\d{1,2})[:.](\d{2})(?:[:.](\d{2})(?:[.,]\d+)?)?\s*([AaPp])?\.?[Mm]?\.?)?"
    r"\s*(Z|[+-]\d{2}:?\d{2})?$"
)
_ALLOWED = "a date and time, such as 2025-01-31 13:50"


def read_times(stamps: list[str], rows: list[int], file: str, order: DateOrder | None = None) -> NDArray[np.datetime64]:
    """The times as datetime64[s], as the file's clock showed them; an offset from UTC is taken off.

    ``rows`` are the rows' numbers in the file. A four-figure year first settles the order by itself; else a day
    above 12 does. InvalidInput where neither does and ``order`` is not given, where the order given does not
    fit, and for every row that holds no time.
    """
    (a, b, c, hours, minutes, seconds), half, offset = _all_alike(stamps) or _one_by_one(stamps, rows, file)
    settled = _order(a, b, re.match(r"\d{4}", stamps[0]) is not None, file, order)
    year, month, day = {"year-first": (a, b, c), "day-first": (c, b, a), "month-first": (c, a, b)}[settled]
    year = np.where(year < 100, year + 2000, year)
    if any(half):
        afternoon = np.array([mark.lower() == "p" for mark in half])
        marked = np.array([bool(mark) for mark in half])
        hours = np.where(marked, hours % 12 + 12 * afternoon, hours)
    bad = (month < 1) | (month > 12) | (day < 1) | (day > 31) | (hours > 24) | (minutes > 59) | (seconds > 59)
    bad |= (year < 1970) | (year > 2200)
    problems: list[Problem] = []
    months = np.where(bad, 0, (year - 1970) * 12 + month - 1).astype("datetime64[M]")
    days = months.astype("datetime64[D]") + (np.where(bad, 1, day) - 1)
    bad |= days.astype("datetime64[M]") != months
    for index in np.flatnonzero(bad):
        advice = f"dates are read {settled}; set date_order if that is wrong"
        problems.append(Problem(file, rows[index], "time", shown(stamps[index]), "a day that exists", advice))
    refuse(problems)
    times = days.astype("datetime64[s]") + (hours * 3600 + minutes * 60 + seconds)
    if any(offset):
        times = times - np.array([_offset_seconds(mark) for mark in offset], dtype="timedelta64[s]")
    return np.asarray(times)


_Parts = tuple[list[NDArray[np.int64]], tuple[str, ...], tuple[str, ...]]
"""Three numbers of the date, hours, minutes and seconds; the marks of the half day; the offsets from UTC."""


def _all_alike(stamps: list[str]) -> _Parts | None:
    """The parts of stamps that have their figures in the same places, all at once; None where they do not."""
    found = _STAMP.match(stamps[0])
    if found is None or found[7] or found[8] or len(set(map(len, stamps))) > 1:
        return None
    marks = np.array(stamps).view(np.uint32).reshape(len(stamps), -1).astype(np.int64)
    spans = [found.span(group) for group in range(1, 7)]
    figures = np.zeros(marks.shape[1], dtype=bool)
    for start, stop in spans:
        figures[max(start, 0) : max(stop, 0)] = True
    digits = marks - ord("0")
    if (marks[:, ~figures] != marks[0, ~figures]).any() or ((digits < 0) | (digits > 9))[:, figures].any():
        return None
    numbers = [digits[:, start:stop] @ 10 ** np.arange(stop - start)[::-1] for start, stop in spans]
    return [np.asarray(column, dtype=np.int64) for column in numbers], (), ()


def _one_by_one(stamps: list[str], rows: list[int], file: str) -> _Parts:
    problems: list[Problem] = []
    parts: list[tuple[str, ...]] = []
    for row, stamp in zip(rows, stamps, strict=True):
        found = _STAMP.match(stamp)
        if found is None:
            problems.append(Problem(file, row, "time", shown(stamp), _ALLOWED))
        else:
            parts.append(found.groups(""))
    refuse(problems)
    *numbers, half, offset = zip(*parts, strict=True)
    return [np.array([cell or "0" for cell in column], dtype=np.int64) for column in numbers], half, offset


def _order(
    first: NDArray[np.int64], second: NDArray[np.int64], year_first: bool, file: str, given: DateOrder | None
) -> DateOrder:
    if year_first:
        return "year-first"
    if given is not None:
        return given
    day_first, month_first = bool(np.any(first > 12)), bool(np.any(second > 12))
    if day_first != month_first:
        return "day-first" if day_first else "month-first"
    found = f"dates such as {first[0]:02d}/{second[0]:02d}, whose day and month could be either way round"
    if day_first:
        found = "dates with the day first in some rows and the month first in others"
    advice = "set date_order of this logger in the case to one of these"
    raise InvalidInput([Problem(file, None, "date_order", found, "day-first, month-first or year-first", advice)])


def _offset_seconds(mark: str) -> int:
    if mark in ("", "Z"):
        return 0
    digits = mark[1:].replace(":", "")
    seconds = int(digits[:2]) * 3600 + int(digits[2:]) * 60
    return -seconds if mark[0] == "-" else seconds


def refuse(problems: list[Problem]) -> None:
    """Raise the problems as one InvalidInput, the first 20 listed and the rest counted; nothing when there are none."""
    if len(problems) > MOST_PROBLEMS:
        rest = len(problems) - MOST_PROBLEMS
        last = problems[MOST_PROBLEMS - 1]
        problems = [*problems[:MOST_PROBLEMS], Problem(last.file, last.line, "", f"{rest} more rows like these", "")]
    if problems:
        raise InvalidInput(problems)
