"""Words for numbers: belief after the IPCC AR5 guidance note on uncertainty (2010, from memory)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from itertools import pairwise


def belief_words(probability: float, numbers: Mapping[str, float]) -> str:
    """The word band that a probability falls in; the band's limits are parameters of the rule base."""
    if probability >= numbers["very-likely"]:
        return "very likely"
    if probability >= numbers["likely"]:
        return "likely"
    if probability > numbers["unlikely"]:
        return "about as likely as not"
    if probability > numbers["very-unlikely"]:
        return "unlikely"
    return "very unlikely"


def belief_band(probability: float, numbers: Mapping[str, float]) -> str:
    """The limits of that word band, as read: ``66–90 %``."""
    limits = [0.0, *(numbers[name] for name in ("very-unlikely", "unlikely", "likely", "very-likely")), 1.0]
    if probability >= limits[4]:
        low, high = limits[4:]
    else:
        low, high = next(pair for pair in pairwise(limits) if probability <= pair[1])
    return f"{100 * low:.0f}–{100 * high:.0f} %"


def about(probability: float) -> str:
    """A probability to the nearest five percent, with open ends: `about 85 %`, `under 5 %`, `over 95 %`.

    The belief rests on judged strengths; finer figures would claim more than it holds.
    """
    percent = 5 * round(probability * 20)
    if percent <= 0 or probability < 0.05:
        return "under 5 %"
    if percent >= 100 or probability > 0.95:
        return "over 95 %"
    return f"about {percent} %"


def list_words(words: Iterable[str]) -> str:
    """Words in a row: `a`, `a and b`, `a, b and c`."""
    items = list(words)
    return "".join(items) if len(items) < 2 else f"{', '.join(items[:-1])} and {items[-1]}"


def decibans(ratio: float) -> float:
    """10·log10 of a likelihood ratio or of odds [dB]; infinities for 0 and infinity (Good 1950)."""
    if ratio <= 0:
        return -math.inf
    return 10 * math.log10(ratio) if math.isfinite(ratio) else math.inf


def odds(probability: float) -> float:
    """Odds of a probability; infinite for 1."""
    return math.inf if probability >= 1 else probability / (1 - probability)


def from_odds(value: float) -> float:
    """Probability of odds in 0..infinity."""
    return 1.0 if math.isinf(value) else value / (1 + value)
