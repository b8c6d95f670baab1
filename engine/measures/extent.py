"""How far the damp reaches: along the base, over the wall, to named features.

Lengths in mm, areas in mm², heights above the floor. Only places with a dry reference count; unread wall counts as
nothing, and every edge is known only to half the distance between the readings on either side of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from engine.case.models import Feature, Surface
from engine.measures.columns import Column, shares
from engine.measures.gathering import floor_level
from engine.measures.places import Place

FEATURE_GROUPS: Mapping[str, tuple[str, ...]] = {
    "opening": ("window", "door", "opening"),
    "pipe": ("pipe", "waste-pipe", "sanitary-fitting", "radiator", "tank"),
    "gutter": ("gutter", "downpipe"),
    "outside-ground": ("outside-ground-line",),
    "chimney": ("chimney-breast", "flue"),
}


@dataclass(frozen=True, slots=True)
class BaseRun:
    """A raised run along the foot of the wall.

    The bounds are how far its ends may be out; None where the run reaches the outermost column that was read.
    """

    start_mm: float
    stop_mm: float
    start_bound_mm: float | None
    stop_bound_mm: float | None

    @property
    def length_mm(self) -> float:
        """Length from start to stop."""
        return self.stop_mm - self.start_mm


@dataclass(frozen=True, slots=True)
class DampArea:
    """The raised pieces of wall together: area and how far it may be out [mm²], centroid [mm]."""

    area_mm2: float
    bound_mm2: float
    centre_x_mm: float
    centre_y_mm: float


@dataclass(frozen=True, slots=True)
class Nearby:
    """The nearest damp place to a feature, and the distance between them [mm]."""

    group: str
    feature: str
    surface: str
    x_mm: float
    y_mm: float
    distance_mm: float


def base_run(columns: Sequence[Column], surface: Surface, parameters: Mapping[str, float]) -> BaseRun | None:
    """The longest raised run of neighbouring columns at the foot of the wall; None with fewer than two there."""
    feet = [
        (column.x_mm, column.known[0][1] >= 1)
        for column in columns
        if column.known and column.known[0][0] <= parameters["wall-base-height"]
    ]
    if len(feet) < 2:
        return None
    reach = shares([x for x, _ in feet], 0.0, surface.width_mm)
    runs = []
    for raised, members in groupby(range(len(feet)), key=lambda i: feet[i][1]):
        if raised:
            listed = list(members)
            first, last = listed[0], listed[-1]
            runs.append(
                BaseRun(
                    start_mm=reach[first][0],
                    stop_mm=reach[last][1],
                    start_bound_mm=(feet[first][0] - feet[first - 1][0]) / 2 if first else None,
                    stop_bound_mm=(feet[last + 1][0] - feet[last][0]) / 2 if last + 1 < len(feet) else None,
                )
            )
    return max(runs, key=lambda run: (run.length_mm, -run.start_mm), default=None)


def damp_area(columns: Sequence[Column], surface: Surface) -> DampArea | None:
    """Area of the raised pieces of wall, 0 with nothing raised; None with fewer than two columns.

    Each place stands for the wall halfway to its neighbours. The bound adds, along every edge between a raised and
    a normal place, the piece that may belong to either.
    """
    known = [column for column in columns if len(column.known) > 1]
    if len(known) < 2:
        return None
    top = surface.height_mm - floor_level(surface)
    across = shares([column.x_mm for column in known], 0.0, surface.width_mm)
    area = bound = moment_x = moment_y = weight = 0.0
    up = [shares([y for y, _ in column.known], 0.0, top) for column in known]
    for j, column in enumerate(known):
        wide = across[j][1] - across[j][0]
        for i, (y, excess) in enumerate(column.known):
            if excess < 1:
                continue
            tall = up[j][i][1] - up[j][i][0]
            area += wide * tall
            weight += wide * tall * excess
            moment_x += wide * tall * excess * column.x_mm
            moment_y += wide * tall * excess * y
            for k in (i - 1, i + 1):
                if 0 <= k < len(column.known) and column.known[k][1] < 1:
                    bound += wide * abs(column.known[k][0] - y) / 2
            for k in (j - 1, j + 1):
                if 0 <= k < len(known) and not _raised_beside(known[k], up[k], y):
                    bound += tall * abs(known[k].x_mm - column.x_mm) / 2
    if not weight:
        return DampArea(0.0, 0.0, 0.0, 0.0)
    return DampArea(area, bound, moment_x / weight, moment_y / weight)


def _raised_beside(column: Column, up: Sequence[tuple[float, float]], y_mm: float) -> bool:
    beside = [e for (_, e), (low, high) in zip(column.known, up, strict=True) if low <= y_mm <= high]
    return any(excess >= 1 for excess in beside)


def nearest_features(places: Iterable[Place], surfaces: Iterable[Surface]) -> tuple[Nearby, ...]:
    """For each group of features the raised place nearest to one of them, on the same surface.

    A surface that is itself a chimney breast is at no distance from one.
    """
    raised: dict[str, list[Place]] = {}
    for place in places:
        if place.is_raised:
            raised.setdefault(place.surface, []).append(place)
    found: dict[str, Nearby] = {}
    for surface in sorted(surfaces, key=lambda s: s.id):
        level = floor_level(surface)
        for place in raised.get(surface.id, ()):
            for group, feature, distance in _distances(place, surface, level):
                near = Nearby(group, feature, surface.id, place.x_mm, place.y_mm, distance)
                if group not in found or distance < found[group].distance_mm:
                    found[group] = near
    return tuple(found[group] for group in FEATURE_GROUPS if group in found)


def _distances(place: Place, surface: Surface, level: float) -> Iterable[tuple[str, str, float]]:
    if surface.kind == "chimney-breast":
        yield "chimney", surface.id, 0.0
    for feature in sorted(surface.features, key=lambda f: f.id):
        for group, kinds in FEATURE_GROUPS.items():
            if feature.kind in kinds:
                yield group, feature.id, distance_to(feature, place.x_mm, place.y_mm + level)


def distance_to(feature: Feature, x_mm: float, y_mm: float) -> float:
    """Distance from a point to a feature [mm]: nought inside a rectangle, else to its nearest point."""
    if feature.shape == "rectangle":
        left, right = sorted((feature.x_mm, feature.to_x_mm))
        low, high = sorted((feature.y_mm, feature.to_y_mm))
        return math.hypot(max(left - x_mm, 0.0, x_mm - right), max(low - y_mm, 0.0, y_mm - high))
    along_x, along_y = feature.to_x_mm - feature.x_mm, feature.to_y_mm - feature.y_mm
    square = along_x**2 + along_y**2
    part = ((x_mm - feature.x_mm) * along_x + (y_mm - feature.y_mm) * along_y) / square if square else 0.0
    part = min(1.0, max(0.0, part))
    return math.hypot(feature.x_mm + part * along_x - x_mm, feature.y_mm + part * along_y - y_mm)


def top_above_outside_ground(places: Iterable[Place], surfaces: Iterable[Surface]) -> float | None:
    """Height of the highest raised place above the outside ground line of its own surface [mm]; None without both."""
    by_id = {surface.id: surface for surface in surfaces}
    heights = []
    for place in places:
        surface = by_id[place.surface]
        for feature in surface.features:
            if feature.kind == "outside-ground-line" and place.is_raised:
                span = feature.to_x_mm - feature.x_mm
                part = min(1.0, max(0.0, (place.x_mm - feature.x_mm) / span)) if span else 0.0
                ground = feature.y_mm + part * (feature.to_y_mm - feature.y_mm)
                heights.append(place.y_mm + floor_level(surface) - ground)
    return max(heights, default=None)
