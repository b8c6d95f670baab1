"""Change of the readings between visits, at the same places with the same mode, scale and material."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations, pairwise
from statistics import median

from engine.measures.near import Near
from engine.measures.noise import pressing_spread
from engine.measures.places import Place

WETTER, DRIER, UNCHANGED = "wetter", "drier", "unchanged"
WETTING, DRYING, STEADY, FLUCTUATING = "wetting", "drying", "steady", "fluctuating"


@dataclass(frozen=True, slots=True)
class PlaceChange:
    """One place on two visits [mm above the floor]; change of the excess in multiples of raised, later less earlier."""

    surface: str
    mode: str
    x_mm: float
    y_mm: float
    change: float
    scatter: float


@dataclass(frozen=True, slots=True)
class VisitChange:
    """The change from one visit to a later one: its median over the places, and the standard error of that."""

    earlier: str
    later: str
    days: int
    places: tuple[PlaceChange, ...]
    median: float
    error: float
    verdict: str


@dataclass(frozen=True, slots=True)
class Trend:
    """The course over three or more visits: (day, median excess) at the places common to all, slope per 30 days."""

    visits: tuple[tuple[str, int, float], ...]
    places: int
    verdict: str
    per_month: float


def latest_change(
    history: Iterable[Place], days: Mapping[str, int], spread: float, parameters: Mapping[str, float]
) -> VisitChange | None:
    """Change between the last two visits that share enough places raised on either; None without such visits.

    Excess over each visit's own dry reference is compared; places without a reference are left out.
    """
    visits = _by_visit(history, days)
    for later in reversed(range(1, len(visits))):
        for earlier in reversed(range(later)):
            found = _compare(visits[earlier], visits[later], days, spread, parameters)
            if found is not None:
                return found
    return None


def trend(
    history: Iterable[Place], days: Mapping[str, int], spread: float, parameters: Mapping[str, float]
) -> Trend | None:
    """The course of the median excess over the visits that share places; None with fewer than three such visits.

    The slope is the median of those between all pairs of visits (Sen 1968, after Theil 1950; from memory).
    """
    by_visit = _by_visit(history, days)
    if len(by_visit) < 3:
        return None
    by_place: dict[tuple[str, str, str, str], Near[dict[str, Place]]] = {}
    found: list[dict[str, Place]] = []
    for visit in by_visit:
        for place in visit:
            near = by_place.setdefault(_kind(place), Near(parameters["same-place-radius"]))
            entry = near.first(place.x_mm, place.y_mm)
            if entry is None:
                entry = {}
                near.add(place.x_mm, place.y_mm, entry)
                found.append(entry)
            entry[place.visit] = place
    seen = [entry for entry in found if any(place.is_raised for place in entry.values())]
    visits = _common_visits(seen, days, parameters["change-least-places"])
    if len(visits) < 3:
        return None
    common = [entry for entry in seen if all(visit in entry for visit in visits)]
    course = [(visit, days[visit], median(_excess(entry[visit]) for entry in common)) for visit in visits]
    error = _error([pressing_spread(entry[visit], spread) for entry in common for visit in visits], common)
    least = max(parameters["change-least-excess"], parameters["change-standard-errors"] * error * 2**0.5)
    slopes = [(b[2] - a[2]) / (b[1] - a[1]) * 30 for a, b in combinations(course, 2) if b[1] > a[1]]
    return Trend(tuple(course), len(common), _course([level for _, _, level in course], least), median(slopes))


def _course(levels: list[float], least: float) -> str:
    steps = [second - first for first, second in pairwise(levels)]
    up, down = any(step > least for step in steps), any(step < -least for step in steps)
    whole = levels[-1] - levels[0]
    if up and down:
        return FLUCTUATING
    if abs(whole) <= least:
        return STEADY
    return WETTING if whole > 0 else DRYING


def _common_visits(found: list[dict[str, Place]], days: Mapping[str, int], least: float) -> list[str]:
    """The latest visits, as many as still share ``least`` places, in order of days."""
    chosen: list[str] = []
    for visit in sorted({visit for entry in found for visit in entry}, key=lambda v: (-days[v], v)):
        sharing = sum(all(v in entry for v in (*chosen, visit)) for entry in found)
        if sharing >= least and all(days[visit] != days[other] for other in chosen):
            chosen.append(visit)
    return chosen[::-1]


def _by_visit(history: Iterable[Place], days: Mapping[str, int]) -> list[list[Place]]:
    visits: dict[str, list[Place]] = {}
    for place in history:
        if place.excess is not None:
            visits.setdefault(place.visit, []).append(place)
    return [visits[visit] for visit in sorted(visits, key=lambda v: (days[v], v))]


def _compare(
    earlier: list[Place], later: list[Place], days: Mapping[str, int], spread: float, parameters: Mapping[str, float]
) -> VisitChange | None:
    nears: dict[tuple[str, str, str, str], Near[Place]] = {}
    for place in earlier:
        nears.setdefault(_kind(place), Near(parameters["same-place-radius"])).add(place.x_mm, place.y_mm, place)
    changes = []
    for place in later:
        near = nears.get(_kind(place))
        before = near.first(place.x_mm, place.y_mm) if near else None
        if before is None or not (before.is_raised or place.is_raised):
            continue
        scatter = math.hypot(pressing_spread(before, spread), pressing_spread(place, spread))
        change = _excess(place) - _excess(before)
        changes.append(PlaceChange(place.surface, place.mode, place.x_mm, place.y_mm, change, scatter))
    if len(changes) < parameters["change-least-places"]:
        return None
    middle = median(c.change for c in changes)
    error = _error([c.scatter for c in changes], changes)
    least = max(parameters["change-least-excess"], parameters["change-standard-errors"] * error)
    verdict = WETTER if middle > least else DRIER if middle < -least else UNCHANGED
    first, last = earlier[0].visit, later[0].visit
    return VisitChange(first, last, days[last] - days[first], tuple(changes), middle, error, verdict)


def _error(scatters: list[float], places: Iterable[object]) -> float:
    """Standard error of a median: 1.25 times that of a mean of normal values (the efficiency of the median, 2/π)."""
    return 1.2533 * median(scatters) / math.sqrt(len(list(places)))


def _kind(place: Place) -> tuple[str, str, str, str]:
    return (place.surface, place.mode, place.scale, place.material)


def _excess(place: Place) -> float:
    return place.excess if place.excess is not None else 0.0
