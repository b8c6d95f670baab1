"""Edge lines: raised readings on a narrow straight strip, or along an arris or joint, as metal gives them.

Moisture does not stop within a hand's breadth on both sides of a ruler-straight line; a bead, a joint of
foil-backed board or a row of fixings does. The strip must be shown to be narrow by normal readings beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from engine.case.models import Feature, Surface
from engine.measures.columns import Column
from engine.measures.extent import distance_to
from engine.measures.gathering import floor_level
from engine.measures.near import Near
from engine.measures.places import Place


@dataclass(frozen=True, slots=True)
class EdgeLine:
    """A narrow raised strip: its surface, the places on it, and the arris or joint that it follows, if one is drawn.

    ``dotted`` says that normal places lie between raised ones along it.
    """

    surface: str
    mode: str
    feature: str | None
    places: tuple[tuple[float, float], ...]
    dotted: bool


def edge_line(
    places: Sequence[Place], columns: Sequence[Column], surface: Surface, parameters: Mapping[str, float]
) -> tuple[str | None, EdgeLine | None]:
    """`yes` with the line, `no` where the readings show a broader damp or none along an arris or joint, else None.

    ``places`` and ``columns`` are of one mode on one surface.
    """
    known = [place for place in places if place.excess is not None]
    if len(known) < 2 * parameters["strip-least-places"]:
        return None, None
    read_along = False
    for feature in _straight(surface):
        found = _along_feature(known, feature, surface, parameters)
        if isinstance(found, EdgeLine):
            return "yes", found
        read_along = read_along or found
    line = _ruler_line(known, surface, parameters)
    if line is not None:
        return "yes", line
    if read_along or _is_broad(columns):
        return "no", None
    return None, None


def along_an_edge(places: Sequence[Place], surface: Surface, parameters: Mapping[str, float]) -> bool:
    """Whether the raised places nearly all lie on one arris or joint, where metal could raise them as well as water."""
    raised = [place for place in places if place.is_raised]
    level, strip = floor_level(surface), parameters["strip-width"]
    return any(
        sum(distance_to(feature, place.x_mm, place.y_mm + level) <= strip for place in raised)
        >= max(1.0, parameters["strip-share"] * len(raised))
        for feature in _straight(surface)
    )


def _straight(surface: Surface) -> list[Feature]:
    kinds = ("arris", "board-joint")
    return sorted((f for f in surface.features if f.kind in kinds), key=lambda feature: feature.id)


def _along_feature(
    known: Sequence[Place], feature: Feature, surface: Surface, parameters: Mapping[str, float]
) -> EdgeLine | bool:
    """The line along an arris or joint; else whether enough was read on and beside it to say that there is none."""
    level, strip = floor_level(surface), parameters["strip-width"]
    apart = [(distance_to(feature, place.x_mm, place.y_mm + level), place) for place in known]
    on = [place for distance, place in apart if distance <= strip]
    beside = [place for distance, place in apart if strip < distance <= 5 * strip]
    least = parameters["strip-least-places"]
    if len(on) < least or len(beside) < least:
        return False
    raised = [place for place in on if place.is_raised]
    share = parameters["strip-share"]
    if len(raised) >= share * len(on) and _share_normal(beside) >= share:
        return EdgeLine(surface.id, known[0].mode, feature.id, _spots(raised), False)
    return True


def _ruler_line(known: Sequence[Place], surface: Surface, parameters: Mapping[str, float]) -> EdgeLine | None:
    """A straight line of raised places, each with a normal place beside it within the width of a strip."""
    strip, least = parameters["strip-width"], int(parameters["strip-least-places"])
    near: Near[Place] = Near(2 * strip)
    for place in known:
        near.add(place.x_mm, place.y_mm, place)
    flanked = [
        place
        for place in known
        if place.is_raised and any(other.is_normal for d, other in near.within(place.x_mm, place.y_mm) if d <= strip)
    ]
    if not least <= len(flanked) <= 60:
        return None
    best: list[Place] = []
    for first, second in combinations(flanked, 2):
        length = math.hypot(second.x_mm - first.x_mm, second.y_mm - first.y_mm)
        if length < 4 * strip:
            continue
        on = [place for place in flanked if _off(first, second, length, place) <= strip / 2]
        if len(on) > len(best) and _narrow(on, first, second, length, near, parameters):
            best = on
    if len(best) < max(least, parameters["strip-share"] * sum(place.is_raised for place in known)):
        return None
    return EdgeLine(surface.id, known[0].mode, None, _spots(best), _dotted(best, known, strip))


def _narrow(
    on: Sequence[Place],
    first: Place,
    second: Place,
    length: float,
    near: Near[Place],
    parameters: Mapping[str, float],
) -> bool:
    strip = parameters["strip-width"]
    beside = {
        id(other): other
        for place in on
        for _, other in near.within(place.x_mm, place.y_mm)
        if strip / 2 < _off(first, second, length, other) <= 2 * strip
    }
    enough = len(beside) >= parameters["strip-least-places"]
    return enough and _share_normal(beside.values()) >= parameters["strip-share"]


def _off(first: Place, second: Place, length: float, place: Place) -> float:
    across = (second.x_mm - first.x_mm) * (place.y_mm - first.y_mm)
    across -= (second.y_mm - first.y_mm) * (place.x_mm - first.x_mm)
    return abs(across) / length


def _dotted(on: Sequence[Place], known: Sequence[Place], strip: float) -> bool:
    ends = sorted(on, key=lambda p: (p.x_mm, p.y_mm))
    first, second = ends[0], ends[-1]
    length = math.hypot(second.x_mm - first.x_mm, second.y_mm - first.y_mm)
    return any(place.is_normal and _off(first, second, length, place) <= strip / 2 for place in known if length)


def _share_normal(places: Iterable[Place]) -> float:
    listed = list(places)
    return sum(place.is_normal for place in listed) / len(listed)


def _spots(places: Iterable[Place]) -> tuple[tuple[float, float], ...]:
    return tuple(sorted((place.x_mm, place.y_mm) for place in places))


def _is_broad(columns: Sequence[Column]) -> bool:
    """Whether two neighbouring columns are raised together at two neighbouring heights each, a whole patch of wall."""
    blocks = []
    for column in columns:
        levels = pairwise(column.known)
        blocks.append([(low, high) for (low, a), (high, b) in levels if a >= 1 and b >= 1])
    return any(
        low < other_high and other_low < high
        for block, beside in pairwise(blocks)
        for low, high in block
        for other_low, other_high in beside
    )
