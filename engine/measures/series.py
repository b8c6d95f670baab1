"""Logged series: time above limits, spells, running means, and the response to rain.

A series is times in rising order (datetime64[s]) with values of the same length, NaN where missing. Each value
stands for one interval, the median spacing; a spacing of more than one and a half intervals is a gap, over
which nothing is assumed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atanh, sqrt, tanh

import numpy as np
from numpy.typing import NDArray

from engine.measures.logger_files import Times
from engine.measures.ranges import FloatArray, above, within

HOUR = 3600.0
DAY = 86_400.0
COVERAGE = 0.8
"""Least share of a window that must be logged for its mean to count."""


def interval_hours(times: Times) -> float:
    """Median spacing of the times [hours]; at least two times are needed."""
    if len(times) < 2:
        raise ValueError(f"logged rows: found {len(times)}; allowed: 2 or more")
    return float(np.median(_seconds(np.diff(times)))) / HOUR


def length_days(times: Times) -> float:
    """From the first to the last interval's end [days]; 0 with fewer than two times."""
    if len(times) < 2:
        return 0.0
    return (float(_seconds(times[-1:] - times[0])[0]) + interval_hours(times) * HOUR) / DAY


def share_of_time(holds: NDArray[np.bool_], known: NDArray[np.bool_]) -> float:
    """Share of the known values for which something holds, 0 to 1; ValueError when nothing is known."""
    if not known.any():
        raise ValueError("logged values: found none; allowed: one or more")
    return float(np.mean(holds[known]))


@dataclass(frozen=True, slots=True)
class Spells:
    """Unbroken spells during which something holds: how many, and the longest [hours]."""

    count: int
    longest_hours: float


def spells(times: Times, holds: NDArray[np.bool_]) -> Spells:
    """Spells of successive values for which something holds; a gap in the record ends a spell."""
    if not holds.any():
        return Spells(0, 0.0)
    hours = interval_hours(times) if len(times) > 1 else 0.0
    gap = np.concatenate(([True], _seconds(np.diff(times)) > 1.5 * hours * HOUR))
    starts = np.flatnonzero(holds & (gap | ~np.concatenate(([False], holds[:-1]))))
    ends = np.flatnonzero(holds & np.concatenate((gap[1:] | ~holds[1:], [True])))
    lengths = _seconds(times[ends] - times[starts]) / HOUR + hours
    return Spells(len(starts), float(lengths.max()))


def running_mean(times: Times, values: FloatArray, days: float) -> FloatArray:
    """Mean over the window that ends with each value [days, above 0 to 366]; NaN where it is not full.

    A window is full when the record reaches back over it and four fifths of its values are known.
    """
    above("window", days, 0, 366, "days")
    seconds = _seconds(times - times[0])
    step = interval_hours(times) * HOUR
    known = np.isfinite(values)
    sums = np.concatenate(([0.0], np.cumsum(np.where(known, values, 0.0))))
    counts = np.concatenate(([0], np.cumsum(known)))
    first = np.searchsorted(seconds, seconds - days * DAY + step / 2, side="left")
    last = np.arange(1, len(values) + 1)
    number = counts[last] - counts[first]
    full = (number >= COVERAGE * days * DAY / step - 1e-6) & (seconds + step >= days * DAY - step / 2)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(full, (sums[last] - sums[first]) / number, np.nan)


def highest_running_mean(times: Times, values: FloatArray, days: float) -> float | None:
    """The highest mean over any full window of some days; None when no window is full."""
    means = running_mean(times, values, days)
    return float(np.nanmax(means)) if np.isfinite(means).any() else None


def at_times(times: Times, values: FloatArray, wanted: Times) -> FloatArray:
    """A series read off at other times by straight lines; NaN outside it, in its gaps and beside missing values."""
    known = np.isfinite(values)
    if known.sum() < 2:
        return np.full(len(wanted), np.nan)
    reach = 2 * interval_hours(times) * HOUR
    have = _seconds(times[known] - times[0])
    want = _seconds(wanted - times[0])
    after = np.searchsorted(have, want, side="left")
    right = have[np.minimum(after, len(have) - 1)]
    left = have[np.maximum(np.searchsorted(have, want, side="right") - 1, 0)]
    inside = (want >= have[0]) & (want <= have[-1]) & (right - left <= reach)
    return np.where(inside, np.interp(want, have, values[known]), np.nan)


def daily(times: Times, values: FloatArray, *, total: bool = False) -> tuple[NDArray[np.datetime64], FloatArray]:
    """Days and their means (or totals) of the known values; NaN for a day of which under four fifths is known."""
    days = times.astype("datetime64[D]")
    first = days[0]
    index = (days - first).astype(np.int64)
    known = np.isfinite(values)
    counts = np.bincount(index[known], minlength=index[-1] + 1)
    sums = np.bincount(index[known], weights=values[known], minlength=index[-1] + 1)
    enough = counts >= COVERAGE * min(24 / interval_hours(times), DAY)
    with np.errstate(invalid="ignore", divide="ignore"):
        result = sums if total else sums / counts
    return first + np.arange(len(result)), np.where(enough, result, np.nan)


@dataclass(frozen=True, slots=True)
class RainResponse:
    """How daily change follows daily rain: correlation at the best lag, that lag [days], days compared.

    ``by_chance_below`` is the correlation that chance alone stays below nineteen times in twenty over all lags
    tried; ``upper`` the highest correlation that the data still allow at any lag.
    """

    correlation: float
    lag_days: int
    days: int
    by_chance_below: float
    upper: float


def rain_response(
    rain_times: Times, rain_mm: FloatArray, times: Times, values: FloatArray, longest_lag: int, least_days: int
) -> RainResponse | None:
    """Correlation of a series' change from day to day with the rain of some days before.

    Lags 0 to ``longest_lag`` days. Chance by Fisher's transform with the effective number of days of Bartlett
    (1935), (1 − r1·r2)/(1 + r1·r2) from the lag-one correlations of both, one-sided at 1/20 shared over the
    lags. None with fewer than ``least_days`` days in common, or fewer than five with rain or five without.
    """
    within("longest lag", float(longest_lag), 0, 60, "days")
    rain_days, rain = daily(rain_times, rain_mm, total=True)
    days, level = daily(times, values)
    change = np.concatenate(([np.nan], np.diff(level)))
    from statistics import NormalDist

    best: tuple[float, int, int, float] | None = None
    upper = -1.0
    sure = NormalDist().inv_cdf(1 - 0.05 / (longest_lag + 1))
    for lag in range(longest_lag + 1):
        start = max(rain_days[0] + lag, days[0])
        stop = min(rain_days[-1] + lag, days[-1])
        length = int((stop - start).astype(np.int64)) + 1
        if length < least_days:
            continue
        fell_at, moved_at = int((start - lag - rain_days[0]).astype(int)), int((start - days[0]).astype(int))
        fell, moved = rain[fell_at : fell_at + length], change[moved_at : moved_at + length]
        both = np.isfinite(fell) & np.isfinite(moved)
        number = int(both.sum())
        wet = int(np.sum(fell[both] > 0.2))
        if number < least_days or wet < 5 or number - wet < 5 or np.ptp(moved[both]) == 0:
            continue
        r = float(np.corrcoef(fell[both], moved[both])[0, 1])
        spread = 1 / sqrt(max(_effective(fell[both], moved[both]) - 3, 1.0))
        upper = max(upper, tanh(atanh(min(r, 0.999999)) + 1.645 * spread))
        if best is None or r > best[0]:
            best = (r, lag, number, tanh(sure * spread))
    if best is None:
        return None
    return RainResponse(best[0], best[1], best[2], best[3], upper)


def _effective(first: FloatArray, second: FloatArray) -> float:
    product = _lag_one(first) * _lag_one(second)
    return min(1.0, (1 - product) / (1 + product)) * len(first)


def _lag_one(values: FloatArray) -> float:
    away = values - values.mean()
    total = float(np.sum(away**2))
    return float(np.sum(away[1:] * away[:-1])) / total if total else 0.0


def _seconds(spans: NDArray[np.timedelta64]) -> FloatArray:
    return spans.astype("timedelta64[s]").astype(np.float64)
