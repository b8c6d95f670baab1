"""Sets of causes, by size, and the arithmetic over them.

Sets of one size stand in colexicographic order (by the number whose binary digits are their members), so
the sets of a size over few causes are the first ones of the same size over more causes, and the position
of a set is Σ C(c_i, i + 1) over its members c_0 < c_1 < … (combinatorial number system).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import comb
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from engine.inference.bounded import Bounded

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]
Number = TypeVar("Number", np.float64, np.intp)
CHUNK = 10
"""Causes per look-up table: a sum over a set's members is one look-up per ten causes."""

FEW_SETS = 1 << 12
"""Sets that are few enough never to be thinned out, unless a caller says otherwise."""
MEMBERS = ((np.arange(1 << CHUNK)[:, None] >> np.arange(CHUNK)) & 1).astype(float)
"""Of every pattern of ten causes, which it holds: ones and zeros, (patterns, causes)."""
LEAST_MAGNITUDE = 1100
"""Weights below two to minus this are nothing."""
MANY = 1 << 14
"""Sets beyond which a complete block is reckoned without a table of members."""
LAYER_BYTES, SUBSET_BYTES = 4 << 20, 24 << 20
"""Bounds on the layers, and on the places of subsets, that are kept [bytes]."""
_LAYERS: Bounded[Integers] = Bounded(LAYER_BYTES, lambda patterns: patterns.nbytes)
_SUBSETS: Bounded[Integers] = Bounded(SUBSET_BYTES, lambda places: places.nbytes)


@dataclass(frozen=True, eq=False)
class Block:
    """Some sets over ``causes`` numbered causes, as bit patterns; ``complete`` when they are all, in order."""

    causes: int
    patterns: Integers
    complete: bool

    @cached_property
    def _chunks(self) -> tuple[Integers, ...]:
        return tuple((self.patterns >> low) & ((1 << CHUNK) - 1) for low in range(0, max(self.causes, 1), CHUNK))

    @cached_property
    def _bits(self) -> NDArray[np.uint8]:
        eight = self.patterns.astype("<i8").view(np.uint8).reshape(-1, 8)
        return np.unpackbits(eight, axis=1, count=self.causes, bitorder="little")

    @cached_property
    def _members_by_cause(self) -> NDArray[np.float32]:
        return np.ascontiguousarray(self._bits.T).astype(np.float32)

    @cached_property
    def sizes(self) -> Integers:
        """How many causes each set holds."""
        return self.sums(look_ups(np.ones(self.causes, dtype=np.intp)))

    def sums(self, tables: tuple[NDArray[Number], ...]) -> NDArray[Number]:
        """Per set, the sum of a value over its members; ``tables`` are the value's look-ups."""
        if self.complete and len(tables) == 2:
            return (tables[1][:, None] + tables[0]).reshape(-1)
        total = tables[0].take(self._chunks[0])
        for table, chunk in zip(tables[1:], self._chunks[1:], strict=True):
            total = total + table.take(chunk)
        return total

    def columns(self, strides: Integers, starts: Integers) -> Integers:
        """Per row of strides (rows, causes) a start plus the sum over each set's members, (rows, sets); below 2^24."""
        found = strides.astype(np.float32) @ self._members_by_cause
        found += starts.astype(np.float32)[:, None]
        return np.asarray(found).astype(np.intp)

    def marginals(self, weights: Floats) -> Floats:
        """Sum of the weights (..., sets) over the sets that hold each cause: shape (..., causes)."""
        if weights.ndim == 1:
            sums = [np.bincount(chunk, weights, 1 << CHUNK) @ MEMBERS for chunk in self._chunks]
            return np.concatenate(sums)[: self.causes]
        return np.asarray(weights @ self._bits.astype(float))


def look_ups(values: NDArray[Number]) -> tuple[NDArray[Number], ...]:
    """Tables of the sums of ``values`` (one per cause) over every pattern of ten causes, for `Block.sums`."""
    tables = []
    for low in range(0, max(len(values), 1), CHUNK):
        table = np.zeros(1, dtype=values.dtype)
        for value in values[low : low + CHUNK]:
            table = np.concatenate([table, table + value])
        tables.append(table)
    return tuple(tables)


def starts_of(lengths: Iterable[int]) -> Integers:
    """Where each of some arrays starts once they are put end to end."""
    return np.cumsum([0, *lengths])[:-1]


@lru_cache(maxsize=16)
def all_sets(causes: int) -> Block:
    """Every set over so many causes."""
    return Block(causes, np.arange(1 << causes), complete=True)


@lru_cache(maxsize=16)
def sets_up_to(causes: int, size: int) -> Block:
    """The sets of up to ``size`` of the causes, by size."""
    layers = [sets_of_size(causes, k) for k in range(size + 1)]
    return Block(causes, np.concatenate(layers), complete=False)


def sets_of_size(causes: int, size: int) -> Integers:
    """Bit patterns of the sets of one size: for each largest member, the smaller sets below it and that member."""

    def compute() -> Integers:
        smaller = sets_of_size(causes, size - 1)
        return np.concatenate([smaller[: comb(top, size - 1)] | (1 << top) for top in range(size - 1, causes)])

    return _LAYERS.get((causes, size), compute) if size else np.zeros(1, dtype=np.intp)


def subsets(causes: int, size: int, lacking: int) -> Integers:
    """Where each set of a size finds, among those one smaller, itself without one member, 0 being its largest."""

    def compute() -> Integers:
        tops = [(top, comb(top, size - 1)) for top in range(size - 1, causes)]
        if not lacking:
            return np.concatenate([np.arange(count) for _, count in tops])
        rest = subsets(causes, size - 1, lacking - 1)
        return np.concatenate([rest[:count] + count for _, count in tops])

    return _SUBSETS.get((causes, size, lacking), compute)


def heaviest(parts: Sequence[tuple[Block, Floats]], left: float, few: int = FEW_SETS) -> tuple[Block, Floats]:
    """The heaviest of the weighed sets, leaving out at most the mass ``left``, with probabilities that sum to 1.

    Up to ``few`` sets are all kept. Sets are taken by the magnitude (power of two) of their weights.
    """
    patterns = np.concatenate([block.patterns for block, _ in parts])
    weights = np.concatenate([weights for _, weights in parts])
    if len(weights) > few:
        magnitudes = np.where(weights > 0, np.clip(-np.frexp(weights)[1], 0, LEAST_MAGNITUDE), LEAST_MAGNITUDE)
        masses = np.bincount(magnitudes, weights, LEAST_MAGNITUDE + 1)
        remaining = np.cumsum(masses[::-1])[::-1]
        kept = np.nonzero(magnitudes < np.searchsorted(-remaining, -left))[0]
        patterns, weights = patterns[kept], weights[kept]
    return Block(parts[0][0].causes, patterns, complete=False), weights / weights.sum()
