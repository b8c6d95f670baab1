"""How good stated probabilities were: the Brier score, its parts, and the table that holds them against what came true.

A forecast is a probability in 0..1 of something that then is so or is not. The Brier score is the mean squared
difference (G. W. Brier, 1950); A. H. Murphy (1973) parts it into reliability − resolution + uncertainty; with forecasts
taken together in bins two further terms within the bins remain (Stephenson, Coelho and Jolliffe, 2008, known from its
abstract; the others from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

TENTHS = tuple(number / 10 for number in range(11))
"""Edges of ten bins of equal width."""


@dataclass(frozen=True, slots=True)
class MurphyParts:
    """The parts of a Brier score: ``reliability − resolution + uncertainty + within``; all but ``within`` are ≥ 0.

    ``reliability`` is the mean squared distance of forecasts from the share that came true (0 is best), ``resolution``
    how far those shares differ from the share overall (more is better), ``uncertainty`` the score of always saying that
    share, ``within`` what bins leave over; 0 where each bin holds one forecast value.
    """

    brier: float
    reliability: float
    resolution: float
    uncertainty: float
    within: float


@dataclass(frozen=True, slots=True)
class Bin:
    """Forecasts from ``low`` up to ``high`` (the last bin with its end): how many, their mean, the share come true."""

    low: float
    high: float
    count: int
    mean_forecast: float
    share_true: float


def brier(forecasts: Sequence[float], outcomes: Sequence[bool]) -> float:
    """The mean squared difference of forecasts [0..1] and outcomes, 0 best, 1 worst; ValueError for none."""
    _check(forecasts, outcomes)
    return math.fsum((p - came) ** 2 for p, came in zip(forecasts, outcomes, strict=True)) / len(forecasts)


def murphy_parts(
    forecasts: Sequence[float], outcomes: Sequence[bool], edges: Sequence[float] | None = None
) -> MurphyParts:
    """The parts of the Brier score, by forecast value or, with ``edges``, by the mean forecast of each bin.

    ``edges`` rise from 0 to 1. ValueError for no forecasts, a forecast outside 0..1 or other edges.
    """
    score = brier(forecasts, outcomes)
    groups = _by_value(forecasts, outcomes) if edges is None else [g for g in _binned(forecasts, outcomes, edges) if g]
    count, share = len(forecasts), sum(outcomes) / len(outcomes)
    means = [(len(group), _mean(p for p, _ in group), _mean(came for _, came in group)) for group in groups]
    reliability = math.fsum(n * (forecast - true) ** 2 for n, forecast, true in means) / count
    resolution = math.fsum(n * (true - share) ** 2 for n, _, true in means) / count
    uncertainty = share * (1 - share)
    within = score - (reliability - resolution + uncertainty) if edges is not None else 0.0
    return MurphyParts(score, reliability, resolution, uncertainty, within)


def reliability_table(
    forecasts: Sequence[float], outcomes: Sequence[bool], edges: Sequence[float] = TENTHS
) -> tuple[Bin, ...]:
    """The bins that hold forecasts, lowest first; ``edges`` rise from 0 to 1; ValueError as for `murphy_parts`."""
    _check(forecasts, outcomes)
    return tuple(
        Bin(low, high, len(group), _mean(p for p, _ in group), _mean(came for _, came in group))
        for (low, high), group in zip(pairwise(edges), _binned(forecasts, outcomes, edges), strict=True)
        if group
    )


def _check(forecasts: Sequence[float], outcomes: Sequence[bool]) -> None:
    if not forecasts or len(forecasts) != len(outcomes):
        raise ValueError(f"{len(forecasts)} forecasts and {len(outcomes)} outcomes; as many of each, at least one")
    wrong = [p for p in forecasts if not 0 <= p <= 1]
    if wrong:
        raise ValueError(f"a forecast is a probability in 0..1, not {wrong[0]!r}")


_Group = list[tuple[float, bool]]


def _by_value(forecasts: Sequence[float], outcomes: Sequence[bool]) -> list[_Group]:
    groups: dict[float, _Group] = {}
    for p, came in zip(forecasts, outcomes, strict=True):
        groups.setdefault(p, []).append((p, came))
    return [groups[p] for p in sorted(groups)]


def _binned(forecasts: Sequence[float], outcomes: Sequence[bool], edges: Sequence[float]) -> list[_Group]:
    if len(edges) < 2 or edges[0] != 0 or edges[-1] != 1 or any(a >= b for a, b in pairwise(edges)):
        raise ValueError(f"edges of bins rise from 0 to 1, not {list(edges)!r}")
    groups: list[_Group] = [[] for _ in edges[1:]]
    for p, came in zip(forecasts, outcomes, strict=True):
        place = sum(p >= edge for edge in edges[1:-1])
        groups[place].append((p, came))
    return groups


def _mean(values: Iterable[float]) -> float:
    numbers = list(values)
    return math.fsum(numbers) / len(numbers)
