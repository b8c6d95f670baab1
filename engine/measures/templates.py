"""Simple profiles up a wall, by what they mean: falling from the base, rising to the top, a bump, a long strip.

Each kind is laid over a grid of positions. A profile is 1 at its greatest and says how the excess is shared
over the heights; amplitudes are left to the comparison. Heights in mm above the floor.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FALL, RISE, BUMP, RAISED_BUMP = "fall", "rise", "bump", "raised-bump"
PLATEAU, STRIP, LONG = "plateau", "strip", "long"
POSITIONS = 16
"""Most positions of a fall's end or a bump's crest that are tried."""
BUMPS = (
    (0.04, 0.04, 0.0, 2),
    (0.12, 0.04, 0.0, 2),
    (0.04, 0.15, 0.1, 2),
    (0.13, 0.13, 0.0, 2),
    (0.13, 0.13, 0.0, 6),
    (0.22, 0.22, 0.0, 6),
)
RAISED_BUMPS = ((0.04, 0.04, 0.3, 2), (0.04, 0.15, 0.35, 2), (0.12, 0.08, 0.3, 2), (0.04, 0.15, 0.5, 2))
"""Spread above and below the crest as shares of the read height, how high the base stands, how flat the top is."""


CLOSENESS = {BUMP: 0.9, RAISED_BUMP: 0.9, STRIP: 1.0, LONG: 1.0}
"""How closely columns that are only loosely alike stand at one position: crests closely, fronts (0.6) less so."""
READINESS = {PLATEAU: 0.1, STRIP: 0.5}
"""How readily a profile is met before anything is read, against the others (1)."""


@dataclass(frozen=True, slots=True)
class Templates:
    """Profiles over the heights that were read, kind by kind; those that mixtures are made of first, `LONG` last.

    ``profiles[height, profile]`` are those that show as what they are between the lowest and the highest reading (not
    a bump whose lower side lies below the lowest). ``position_mm`` is where the fall ends, the rise begins or the bump
    has its crest; ``size_mm`` how far the raised part reaches up the wall; ``readiness`` how readily one is met.
    ``of`` and ``at`` say which profiles and positions are of a kind, ``row`` at which position a profile stands.
    ``alike`` and ``loosely`` are the shares [position, profile] of profiles in columns that are all of one profile, and
    in columns each with a profile of its own at or near one position; ``log_positions`` is the logarithm of how many
    positions its kind has.
    """

    profiles: Array
    row: NDArray[np.int64]
    of: Mapping[str, slice]
    at: Mapping[str, slice]
    position_mm: Array
    size_mm: Array
    readiness: Array
    alike: Array
    loosely: Array
    log_positions: Array


@lru_cache(maxsize=64)
def templates(heights: tuple[float, ...]) -> Templates:
    """The templates over distinct heights [mm], ascending, at least three; positions as fine as the heights.

    Falls end halfway between two heights; crests stand at or between the inner heights. Of more than ``POSITIONS`` some
    are left out, evenly.
    """
    levels = np.array(heights)
    lowest, highest, span = levels[0], levels[-1], levels[-1] - levels[0]
    middles = (levels[1:] + levels[:-1]) / 2
    ends = _thinned(np.sort(np.concatenate([middles, levels[1:-1]])))
    crests = _thinned(np.sort(np.concatenate([levels[1:-1], (levels[2:-1] + levels[1:-2]) / 2])))
    y = levels[None, None, :]
    fall = _falls(y - lowest, ends[:, None, None] - lowest, span)
    rise = _falls(highest - y, highest - ends[:, None, None], span)
    kinds: tuple[tuple[str, Array, Array, Array], ...] = (
        (FALL, ends, ends, fall),
        (RISE, ends, highest - ends, rise),
        (BUMP, crests, 0.4 * span + 0 * crests, _bumps(y, crests[:, None, None], span, BUMPS)),
        (LONG, levels[-1:], levels[-1:] - levels[:1], _long(y, lowest, span)),
        (RAISED_BUMP, crests, 0.4 * span + 0 * crests, _bumps(y, crests[:, None, None], span, RAISED_BUMPS)),
        (PLATEAU, ends, ends, _plateaus(y - lowest, ends[:, None, None] - lowest, span)),
        _strips(y, np.concatenate([[lowest], middles, [highest]]), span),
    )
    return _stacked([(kind, *_shown(kind, *family)) for kind, *family in kinds])


def neighbouring(positions: int, closeness: float) -> Array:
    """How each of some positions is mixed [position, position] with its neighbours, and a little with all."""
    index = np.arange(positions)
    near = np.exp(-0.5 * ((index[:, None] - index[None, :]) / 0.6) ** 2)
    return np.asarray(closeness * near / near.sum(axis=1, keepdims=True) + (1 - closeness) / max(positions, 1))


def _shown(kind: str, position: Array, size: Array, values: Array) -> tuple[Array, Array, NDArray[np.int64], Array]:
    """Of a kind the positions that show, their sizes, the position of each profile that shows, and these profiles."""
    visible = _visible(kind, values)
    shows = visible.any(axis=1)
    return position[shows], size[shows], np.nonzero(visible[shows])[0], values[visible]


def _stacked(kinds: Sequence[tuple[str, Array, Array, NDArray[np.int64], Array]]) -> Templates:
    """All kinds in one, the shares of profiles kept apart; half of a kind's readiness for each way of being shared."""
    names, position_mm, size_mm, rows, profiles = zip(*kinds, strict=True)
    counts = [len(position) for position in position_mm]
    ends, stops = np.cumsum(counts).tolist(), np.cumsum([len(row) for row in rows]).tolist()
    at = {kind: slice(end - count, end) for kind, count, end in zip(names, counts, ends, strict=True)}
    of = {kind: slice(stop - len(row), stop) for kind, row, stop in zip(names, rows, stops, strict=True)}
    alike, loosely = np.zeros((2, ends[-1], stops[-1]))
    for kind, row, count in zip(names, rows, counts, strict=True):
        member = (row[None, :] == np.arange(count)[:, None]).astype(np.float64)
        near = neighbouring(count, CLOSENESS.get(kind, 0.6))
        alike[at[kind], of[kind]] = member / max(len(row), 1)
        loosely[at[kind], of[kind]] = near @ (member / member.sum(axis=1, keepdims=True))
    return Templates(
        profiles=np.concatenate(profiles).T,
        row=np.concatenate([row + at[kind].start for kind, row in zip(names, rows, strict=True)]),
        of=of,
        at=at,
        position_mm=np.concatenate(position_mm),
        size_mm=np.concatenate(size_mm),
        readiness=np.repeat([READINESS.get(kind, 1.0) / 2 for kind in names], counts),
        alike=alike,
        loosely=loosely,
        log_positions=np.log(np.repeat(counts, counts)),
    )


def _thinned(positions: Array) -> Array:
    if len(positions) <= POSITIONS:
        return positions
    kept: Array = positions[np.linspace(0, len(positions) - 1, POSITIONS).round().astype(int)]
    return kept


def _visible(kind: str, values: Array) -> NDArray[np.bool_]:
    """Whether a profile [position, variant] would show as what it is."""
    base, top, most = values[:, :, 0], values[:, :, -1], values.max(axis=2)
    if kind in (BUMP, RAISED_BUMP):
        return (base <= 0.6) & (top <= 0.6)
    if kind == STRIP:
        return np.asarray(most > 0)
    if kind == PLATEAU:
        return np.asarray(most >= 1.1 * base)
    return np.ones(base.shape, dtype=bool)


def _falls(up: Array, end: Array, span: float) -> Array:
    """Falls from 1 at the outermost reading, gone at ``end``: sharp front, soft, half fallen, bowed, and hollow."""
    distance = np.maximum(up, 0.0)
    sharp = _step((end - distance) / (0.03 * span)) / _step(end / (0.03 * span))
    soft = _step((end - distance) / (0.10 * span)) / _step(end / (0.10 * span))
    bowed = np.sqrt(np.maximum(1 - distance / (1.1 * end), 0.0))
    hollow = np.exp(-distance / (0.5 * end))
    half = (1 - 0.5 * np.minimum(distance / end, 1.0)) * sharp
    return np.concatenate([sharp, soft, half, bowed, hollow], axis=1)


def _strips(y: Array, edges: Array, span: float) -> tuple[str, Array, Array, Array]:
    """Strips between two edges that reach neither the lowest reading nor the highest, a third of the span or more."""
    pairs = [(a, b) for i, a in enumerate(edges[1:-1]) for b in edges[i + 2 : -1] if b - a >= span / 3]
    ends = np.array(pairs or [(np.inf, np.inf)])[:, :, None, None]
    values = ((y > ends[:, 0]) & (y < ends[:, 1])).astype(np.float64)
    middle, size = ends.mean(axis=1).ravel(), (ends[:, 1] - ends[:, 0]).ravel() if pairs else np.zeros(1)
    return STRIP, middle, size, values


def _plateaus(up: Array, end: Array, span: float) -> Array:
    """Slightly lower at the base than at ``end``, and gone above it: neither clearly falling nor clearly a crest."""
    front = _step((end - up) / (0.03 * span))
    rise = np.clip(up / end, 0.0, 1.0)
    return np.concatenate([(base + (1 - base) * rise) * front for base in (0.7, 0.85)], axis=1)


def _bumps(y: Array, at: Array, span: float, forms: tuple[tuple[float, float, float, int], ...]) -> Array:
    """Bumps by their spread above and below the crest (shares of ``span``) and how high they stand at the base."""
    return np.concatenate(
        [
            np.where(
                y < at,
                base + (1 - base) * np.exp(-0.5 * ((at - y) / (below * span)) ** power),
                np.exp(-0.5 * ((y - at) / (above * span)) ** power),
            )
            for above, below, base, power in forms
        ],
        axis=1,
    )


def _long(y: Array, lowest: float, span: float) -> Array:
    """Strips from the lowest reading to the highest: even, and fading by half either way."""
    along = (y - lowest) / span
    return np.concatenate([np.ones_like(y), 1 - 0.5 * along, 0.5 + 0.5 * along], axis=1)


def _step(values: Array) -> Array:
    return 1 / (1 + np.exp(-np.clip(values, -40, 40)))
