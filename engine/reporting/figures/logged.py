"""Logged series as stretches of time, each with its least, mean and greatest value: what a strip has room for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from engine.case.models import Area
from engine.measures.logger_files import Times
from engine.measures.loggers import Logged
from engine.measures.psychrometrics import dew_point_of_vapour_pressure, saturation_vapour_pressure, vapour_pressure
from engine.measures.ranges import FloatArray
from engine.measures.series import daily, interval_hours
from engine.reporting.figures.models import LoggedCourse, LoggedSpan, Quantity
from engine.reporting.figures.wording import plain

STRETCHES = 360
"""The most stretches that a series is shown in."""
UNITS: Mapping[Quantity, str] = {
    "temperature": "°C",
    "dew-point": "°C",
    "humidity": "%",
    "moisture": "%",
    "rain": "mm a day",
}
WORDS: Mapping[Quantity, str] = {
    "temperature": "temperature",
    "dew-point": "dew point",
    "humidity": "relative humidity",
    "moisture": "moisture",
    "rain": "rain",
}
_DAY = 86_400.0


def logged_courses(area: Area, series: tuple[Logged, ...]) -> tuple[str | None, float, tuple[LoggedCourse, ...]]:
    """The day on which the earliest series starts, the days to the end of the last, and every quantity over time.

    Of air with a temperature and a humidity the dew point is reckoned too. Series of fewer than two rows are left out.
    """
    long = [one for one in series if len(one.record.times) > 1]
    if not long:
        return None, 0.0, ()
    start = min(one.record.times[0] for one in long).astype("datetime64[D]")
    days = max(float(_days(one.record.times[-1:], start)[0]) for one in long)
    courses = tuple(course for one in long for course in _courses(_named(area, one), one, start, days))
    return str(start), days, courses


def _named(area: Area, one: Logged) -> str:
    surfaces = {surface.id: surface.title or plain(surface.id) for surface in area.surfaces}
    where = one.logger.place or surfaces.get(one.logger.surface or "")
    kind = plain(one.logger.kind)
    return f"{kind}, {where}" if where else kind


def _courses(name: str, one: Logged, start: np.datetime64, length: float) -> Iterator[LoggedCourse]:
    times, columns = one.record.times, dict(one.record.columns)
    if "temperature" in columns and "humidity" in columns and "dew-point" not in columns:
        columns["dew-point"] = _dew_point(columns["temperature"], columns["humidity"])
    quantities: tuple[Quantity, ...] = ("temperature", "dew-point", "humidity", "moisture", "rain")
    for quantity in quantities:
        if quantity not in columns or not np.isfinite(columns[quantity]).any():
            continue
        values, gap = columns[quantity], 1.5 * interval_hours(times) / 24
        if quantity == "rain":
            whole, totals = daily(times, values, total=True)
            known = np.isfinite(totals)
            middles = (whole - start).astype(np.float64) + 0.5
            spans = tuple(
                LoggedSpan(float(day), float(total), float(total), float(total))
                for day, total in zip(middles[known], totals[known], strict=True)
            )
            gap = 1.5
        else:
            spans = _stretches(_days(times, start), values, length)
            gap = max(gap, 2.5 * length / STRETCHES)
        if spans:
            yield LoggedCourse(one.logger.id, f"{name}: {WORDS[quantity]}", quantity, UNITS[quantity], spans, gap)


def _dew_point(celsius: FloatArray, humidity: FloatArray) -> FloatArray:
    """Dew point [°C], NaN where it is not known or the air is too dry to have one in the range of the equation."""
    found = np.full(len(celsius), np.nan)
    known = np.isfinite(celsius) & np.isfinite(humidity)
    pressure = np.full(len(celsius), np.nan)
    pressure[known] = vapour_pressure(celsius[known], humidity[known])
    known &= np.nan_to_num(pressure) >= saturation_vapour_pressure(-45.0)
    found[known] = dew_point_of_vapour_pressure(pressure[known])
    return found


def _stretches(days: FloatArray, values: FloatArray, length: float) -> tuple[LoggedSpan, ...]:
    known = np.isfinite(values)
    days, values = days[known], values[known]
    index = np.minimum((days / max(length, 1e-9) * STRETCHES).astype(np.int64), STRETCHES - 1)
    starts = np.flatnonzero(np.concatenate(([True], np.diff(index) > 0)))
    counts = np.diff(np.concatenate((starts, [len(values)])))
    columns = (
        np.add.reduceat(days, starts) / counts,
        np.minimum.reduceat(values, starts),
        np.add.reduceat(values, starts) / counts,
        np.maximum.reduceat(values, starts),
    )
    return tuple(LoggedSpan(*(float(value) for value in row)) for row in zip(*columns, strict=True))


def _days(times: Times, start: np.datetime64) -> FloatArray:
    return (times - start).astype("timedelta64[s]").astype(np.float64) / _DAY
