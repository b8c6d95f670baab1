"""Two profiles on one wall: one above the other, or side by side. They are rivals to every single shape."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

import numpy as np

from engine.measures.logs import log, log_mean
from engine.measures.templates import BUMP, FALL, LONG, RISE, Array

ABOVE_EACH_OTHER = tuple((low, high) for low in (FALL, BUMP) for high in (BUMP, RISE, LONG) if low != high)
MIXED_KINDS = (FALL, RISE, BUMP, LONG)
SIDE_BY_SIDE = tuple(combinations(MIXED_KINDS, 2))
SHARES = ((0.25, 0.25, 0.25, 0.25), (0.1, 0.7, 0.1, 0.1), (0.1, 0.1, 0.7, 0.1), (0.1, 0.1, 0.1, 0.7))
"""How columns may be shared out between nothing, one profile, another, and both."""


def above_each_other(dry: tuple[Array, Array], below: Mapping[str, Array], above: Mapping[str, Array]) -> Array:
    """Log evidence [offset] of one profile below and another above a height that holds for the wall.

    ``dry`` are the densities of nothing raised up to each band and above it, ``below`` and ``above`` those of each
    kind of profile, all [offset, column, band].
    """
    pairs = _known(ABOVE_EACH_OTHER, below)
    first, last = _split(dry[0], len(pairs)), _split(dry[1], len(pairs))
    low = np.concatenate([below[kind][:, :, :-1] for kind, _ in pairs], axis=2)
    high = np.concatenate([above[kind][:, :, :-1] for _, kind in pairs], axis=2)
    return log_mean(with_both(first * last, low * last, first * high, low * high), 1)


def scattered(dry: Array, below: Array, above: Array) -> Array:
    """Log evidence [offset] of bumps at any heights in some columns and not in others, one or two to a column.

    ``dry`` holds the densities [offset, column] of nothing raised, ``below`` and ``above`` those of bumps up to each
    band and above it [offset, column, band].
    """
    two = (below * above)[:, :, :-1].mean(axis=2) if below.shape[2] > 1 else np.zeros_like(dry)
    bumps = 0.8 * below[:, :, -1] + 0.2 * two
    every, all_bumps, no_bump = log(0.8 * dry + 0.2 * bumps), log(0.2 * bumps), log(0.8 * dry)
    whole = every.sum(axis=1)
    rest = 1 - np.exp(all_bumps.sum(axis=1) - whole) - np.exp(no_bump.sum(axis=1) - whole)
    return np.asarray(whole + np.log(np.maximum(rest, 1e-12)))


def side_by_side(dry: Array, whole: Mapping[str, Array]) -> Array:
    """Log evidence [offset] of two profiles in different columns; densities of whole columns [offset, column]."""
    pairs = _known(SIDE_BY_SIDE, whole)
    one, other = (np.stack([whole[pair[place]] for pair in pairs], axis=2) for place in (0, 1))
    none = dry[:, :, None]
    return log_mean(with_both(none, one, other, np.zeros_like(none)), 1)


def with_both(none: Array, one: Array, other: Array, both: Array) -> Array:
    """Log evidence [offset, split] that columns show one profile, another, both or none, and each shows somewhere.

    Arguments are densities [offset, column, split]. Of all ways to share the profiles among the columns, those in
    which one of them shows nowhere are taken out.
    """
    nothing, first, second, together = (
        share[:, None, None, None] * part
        for share, part in zip(np.array(SHARES).T, (none, one, other, both), strict=True)
    )
    every = log(nothing + first + second + together).sum(axis=2)
    without_first, without_second = log(nothing + second).sum(axis=2), log(nothing + first).sum(axis=2)
    neither = log(nothing).sum(axis=2)
    shown = 1 - np.exp(without_first - every) - np.exp(without_second - every) + np.exp(neither - every)
    return log_mean(every + np.log(np.maximum(shown, 1e-12)), 0)


def _known(pairs: tuple[tuple[str, str], ...], kinds: Mapping[str, Array]) -> list[tuple[str, str]]:
    return [pair for pair in pairs if pair[0] in kinds and pair[1] in kinds]


def _split(dry: Array, pairs: int) -> Array:
    """The densities [offset, column, split] below the last band, once for every pair of profiles."""
    return np.tile(dry[:, :, :-1], (1, 1, pairs))
