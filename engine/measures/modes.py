"""Pins against capacitance, place by place, and the surface against the depth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engine.measures.near import Near
from engine.measures.places import CAPACITANCE, DEEP_PINS, PINS, Place

BOTH_HIGH, PINS_ONLY, CAPACITANCE_ONLY, BOTH_NORMAL = COMBINATIONS = (
    "both-high",
    "pins-only",
    "capacitance-only",
    "both-normal",
)
DEEPER, THROUGHOUT, SURFACE_ONLY, DRY = DEPTHS = ("deeper-wetter", "wet-throughout", "surface-only", "dry")


@dataclass(frozen=True, slots=True)
class Pair:
    """Two readings at one place [mm above the floor] and what they say together; excess in multiples of raised."""

    surface: str
    x_mm: float
    y_mm: float
    first_excess: float
    second_excess: float
    combination: str


@dataclass(frozen=True, slots=True)
class ModeAgreement:
    """Every place read with pins and capacitance, the commonest combination and its share (None: no majority).

    ``parting`` are the places where one mode is raised and the other normal, where to move 100 mm, turn the pins,
    press again, try a locator and deep pins. ``correlation`` is Spearman's, None below ``rank-correlation-places``.
    """

    pairs: tuple[Pair, ...]
    combination: str | None
    share: float
    correlation: float | None

    @property
    def parting(self) -> tuple[Pair, ...]:
        """The places where the modes part."""
        return tuple(pair for pair in self.pairs if pair.combination in (PINS_ONLY, CAPACITANCE_ONLY))


@dataclass(frozen=True, slots=True)
class DepthContrast:
    """Every place with surface pins and deep pins near each other, and the commonest relation (None: no majority)."""

    pairs: tuple[Pair, ...]
    contrast: str | None
    share: float


def mode_agreement(places: Iterable[Place], parameters: Mapping[str, float]) -> ModeAgreement | None:
    """Pins against capacitance at the same places on the same material; None where no place has both.

    The combination is the commonest among places raised in at least one mode; *both normal* where hardly any is.
    """
    matched = _matched(places, PINS, CAPACITANCE, parameters["same-place-radius"])
    pairs = tuple(_pair(first, second, _combination(first, second)) for first, second in matched)
    if not pairs:
        return None
    raised = [pair for pair in pairs if pair.combination != BOTH_NORMAL]
    few = len(raised) < parameters["mode-raised-share"] * len(pairs) or (len(pairs) >= 10 and len(raised) < 2)
    combination, share = _commonest([p.combination for p in pairs if few or p.combination != BOTH_NORMAL], COMBINATIONS)
    return ModeAgreement(pairs, combination, share, _rank_correlation(matched, parameters))


def depth_contrast(places: Iterable[Place], parameters: Mapping[str, float]) -> DepthContrast | None:
    """Deep pins against surface pins beside them; None where no place has both.

    *Wetter at depth*: deep is raised and the surface is not, or deep exceeds the surface by a whole raise.
    """
    matched = _matched(places, PINS, DEEP_PINS, parameters["deep-pair-radius"], same_material=False)
    pairs = tuple(_pair(surface, deep, _depth(surface, deep)) for surface, deep in matched)
    if not pairs:
        return None
    wet = [pair.combination for pair in pairs if pair.combination != DRY]
    contrast, share = _commonest(wet or [pair.combination for pair in pairs], DEPTHS)
    return DepthContrast(pairs, contrast, share)


def _matched(
    places: Iterable[Place], first: str, second: str, radius: float, *, same_material: bool = True
) -> list[tuple[Place, Place]]:
    known = [place for place in places if place.excess is not None]
    nears: dict[tuple[str, str], Near[Place]] = {}
    for place in known:
        if place.mode == second:
            key = (place.surface, place.material if same_material else "")
            nears.setdefault(key, Near(radius)).add(place.x_mm, place.y_mm, place)
    matched = []
    for place in known:
        near = nears.get((place.surface, place.material if same_material else ""))
        other = near.first(place.x_mm, place.y_mm) if near and place.mode == first else None
        if other is not None:
            matched.append((place, other))
    return matched


def _pair(first: Place, second: Place, combination: str) -> Pair:
    return Pair(first.surface, first.x_mm, first.y_mm, first.excess or 0.0, second.excess or 0.0, combination)


def _combination(pins: Place, capacitance: Place) -> str:
    if pins.is_raised:
        return BOTH_HIGH if capacitance.is_raised else PINS_ONLY
    return CAPACITANCE_ONLY if capacitance.is_raised else BOTH_NORMAL


def _depth(surface: Place, deep: Place) -> str:
    if not deep.is_raised:
        return SURFACE_ONLY if surface.is_raised else DRY
    further = (deep.excess or 0.0) - (surface.excess or 0.0)
    return DEEPER if not surface.is_raised or further >= 1 else THROUGHOUT


def _commonest(found: list[str], order: tuple[str, ...]) -> tuple[str | None, float]:
    counts = Counter(found)
    ranked = sorted(counts, key=lambda name: (-counts[name], order.index(name)))
    share = counts[ranked[0]] / len(found)
    tied = len(ranked) > 1 and counts[ranked[0]] == counts[ranked[1]]
    return (None if tied else ranked[0]), share


def _rank_correlation(matched: list[tuple[Place, Place]], parameters: Mapping[str, float]) -> float | None:
    by_material: dict[str, list[tuple[Place, Place]]] = {}
    for pair in matched:
        by_material.setdefault(pair[0].material, []).append(pair)
    if not by_material:
        return None
    material = max(sorted(by_material), key=lambda name: len(by_material[name]))
    pairs = by_material[material]
    if len(pairs) < parameters["rank-correlation-places"]:
        return None
    return spearman([pair[0].excess or 0.0 for pair in pairs], [pair[1].excess or 0.0 for pair in pairs])


def spearman(first: list[float], second: list[float]) -> float | None:
    """Spearman's rank correlation −1..1, ties sharing their mean rank; None where one of them never varies.

    C. Spearman, *The proof and measurement of association between two things* (1904), from memory.
    """
    a, b = _ranks(first), _ranks(second)
    middle = (len(a) + 1) / 2
    product = sum((x - middle) * (y - middle) for x, y in zip(a, b, strict=True))
    squares = sum((x - middle) ** 2 for x in a) * sum((y - middle) ** 2 for y in b)
    return max(-1.0, min(1.0, product / squares**0.5)) if squares else None


def _ranks(values: list[float]) -> list[float]:
    ordered = sorted(values)
    first = {value: i for i, value in reversed(list(enumerate(ordered)))}
    counts = Counter(values)
    return [first[value] + (counts[value] + 1) / 2 for value in values]
