"""How far presses scatter: from repeats where there are any, else a stated default."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from statistics import median

from engine.measures.places import WOOD, Place

MEDIAN_RANGE = (0.954, 1.588, 1.978, 2.257, 2.472, 2.645, 2.791, 2.915, 3.024)
"""Median of the range of 2 to 10 values from a normal distribution, in its standard deviations (order statistics)."""


def press_spread(places: Iterable[Place], parameters: Mapping[str, float]) -> float:
    """Standard deviation of a single press as a share of the reading, 0.02 or more.

    The median over the places pressed more than once of their range, scaled to a standard deviation; the
    stated default counts as ``press-spread-places`` further places. Robust: half the places may hold strays.
    """
    shares = []
    for place in places:
        if len(place.presses) > 1 and place.value > 0:
            constant = MEDIAN_RANGE[min(len(place.presses), 10) - 2]
            shares.append((place.presses[-1] - place.presses[0]) / constant / place.value)
    default = parameters["press-spread"]
    if not shares:
        return default
    weight = parameters["press-spread-places"]
    pooled = (len(shares) * median(shares) ** 2 + weight * default**2) / (len(shares) + weight)
    return max(math.sqrt(pooled), parameters["press-spread-least"])


def median_gain(presses: int) -> float:
    """How many single presses the median of ``presses`` is worth: about 2n/π for three or more (Kenney 1962)."""
    return float(presses) if presses < 3 else max(2.0, 2 * presses / math.pi)


def pressing_spread(place: Place, spread: float) -> float:
    """Standard deviation of a place's excess by its presses alone [multiples of raised]; infinite without a scale."""
    if place.raised is None:
        return math.inf
    return spread * place.value / place.raised / math.sqrt(median_gain(len(place.presses)))


def place_spread(place: Place, spread: float, parameters: Mapping[str, float]) -> float:
    """Standard deviation of a place's excess [multiples of raised] by presses and by the wall's own unevenness."""
    pressing = pressing_spread(place, spread)
    uneven = parameters["wall-scatter"] * max(place.excess or 0.0, 0.0)
    return math.sqrt(pressing**2 + uneven**2 + parameters["wall-scatter-dry"] ** 2)


def presses_agree(place: Place, parameters: Mapping[str, float]) -> bool:
    """Whether every press of a place lies close to its median; the limits are parameters of the rule base."""
    if place.scale == WOOD:
        least = parameters["repeat-agreement-points"]
    else:
        least = parameters["repeat-agreement-percent"] / 100 * (place.full_scale or 0.0)
    allowed = max(least, parameters["repeat-agreement-share"] * place.value)
    return max(place.presses[-1] - place.value, place.value - place.presses[0]) <= allowed


def repeats_agree(places: Iterable[Place], parameters: Mapping[str, float]) -> str | None:
    """`yes` or `no` over the places pressed more than once; None with fewer than three or in between."""
    repeated = [place for place in places if len(place.presses) > 1]
    if len(repeated) < 3:
        return None
    share = sum(presses_agree(place, parameters) for place in repeated) / len(repeated)
    if share >= parameters["repeat-agreement-most"]:
        return "yes"
    return "no" if share < parameters["repeat-agreement-half"] else None
