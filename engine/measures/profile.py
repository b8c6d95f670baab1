"""The profile up a wall, column by column: base, peak, where it falls off, a crest, how steadily it falls.

Only readings with a dry reference count. Heights in mm above the floor, excess in multiples of raised.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from engine.measures.columns import Column
from engine.measures.noise import place_spread


@dataclass(frozen=True, slots=True)
class Profile:
    """One column's profile; a field is None where the readings do not give it.

    ``fall_off_mm`` is where the excess falls below raised above the peak, by straight line between two levels;
    ``bound_mm`` half the distance between them. ``crest_mm`` is given where the peak stands clear of the lowest
    level below it and the levels above are lower again. ``steadiness`` is 1 where the readings never rise again.
    """

    x_mm: float
    heights: int
    base_mm: float
    base_excess: float
    peak_mm: float
    peak_excess: float
    fall_off_mm: float | None
    bound_mm: float | None
    crest_mm: float | None
    steadiness: float | None


@dataclass(frozen=True, slots=True)
class WallProfile:
    """The columns of one mode on one surface, and what they say together: medians over the raised columns."""

    columns: tuple[Profile, ...]
    heights: int
    base_excess: float | None
    fall_off_mm: float | None
    bound_mm: float | None
    peak_mm: float | None
    crest_mm: float | None
    steadiness: float | None


def profile_of(column: Column, spread: float, parameters: Mapping[str, float]) -> Profile | None:
    """The profile of one column; None with fewer than ``profile-least-heights`` levels that have a reference."""
    known = column.known
    if len(known) < parameters["profile-least-heights"]:
        return None
    noise = {
        level.y_mm: median(place_spread(place, spread, parameters) for place in level.places) for level in column.levels
    }
    peak = max(range(len(known)), key=lambda i: (known[i][1], -i))
    fall_off, bound = _fall_off(known[peak:])
    return Profile(
        x_mm=column.x_mm,
        heights=len(known),
        base_mm=known[0][0],
        base_excess=known[0][1],
        peak_mm=known[peak][0],
        peak_excess=known[peak][1],
        fall_off_mm=fall_off,
        bound_mm=bound,
        crest_mm=known[peak][0] if _is_crest(known, peak, noise) else None,
        steadiness=_steadiness(known[peak:], noise),
    )


def wall_profile(columns: Iterable[Column], spread: float, parameters: Mapping[str, float]) -> WallProfile | None:
    """The profiles of a surface's columns, left to right; None without any column."""
    listed = tuple(columns)
    if not listed:
        return None
    profiles = tuple(p for column in listed if (p := profile_of(column, spread, parameters)) is not None)
    raised = [p for p in profiles if p.peak_excess >= 1]
    bases = [p.base_excess for p in raised if p.base_mm <= parameters["wall-base-height"]]
    dry_bases = [p.base_excess for p in profiles if p.base_mm <= parameters["wall-base-height"]]
    bounds = [p.bound_mm for p in raised if p.bound_mm is not None]
    return WallProfile(
        columns=profiles,
        heights=max(len(column.levels) for column in listed),
        base_excess=median(bases) if bases else max(dry_bases, default=None) if not raised else None,
        fall_off_mm=_median(p.fall_off_mm for p in raised),
        bound_mm=max(bounds, default=None),
        peak_mm=_median(p.peak_mm for p in raised),
        crest_mm=_median(p.crest_mm for p in raised),
        steadiness=_median(p.steadiness for p in raised),
    )


def _fall_off(above: tuple[tuple[float, float], ...]) -> tuple[float | None, float | None]:
    for (low, wet), (high, dry) in pairwise(above):
        if wet >= 1 > dry:
            return low + (high - low) * (wet - 1) / (wet - dry), (high - low) / 2
    return None, None


def _is_crest(known: tuple[tuple[float, float], ...], peak: int, noise: Mapping[float, float]) -> bool:
    """Whether the peak stands clear of the base below and of a level above it by twice the scatter of both."""
    if peak in (0, len(known) - 1) or known[peak][1] < 1:
        return False

    def clear_of(other: tuple[float, float]) -> bool:
        return known[peak][1] - other[1] > 2 * math.hypot(noise[known[peak][0]], noise[other[0]])

    return clear_of(known[0]) and any(clear_of(level) for level in known[peak + 1 :])


def _steadiness(above: tuple[tuple[float, float], ...], noise: Mapping[float, float]) -> float | None:
    """Net fall over all rises and falls beyond the scatter, from the peak up; None where nothing changes beyond it."""
    if len(above) < 2:
        return None
    falls = rises = 0.0
    for (low, first), (high, second) in pairwise(above):
        scatter = math.hypot(noise[low], noise[high])
        if first - second > scatter:
            falls += first - second
        elif second - first > scatter:
            rises += second - first
    return max(falls - rises, 0.0) / (falls + rises) if falls + rises else None


def _median(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return median(known) if known else None
