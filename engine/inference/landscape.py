"""The weight of any sets of causes, few at a time: for looking around where whole layers would cost too much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engine.inference.sets import Floats, Integers


@dataclass(frozen=True, eq=False)
class Summit:
    """A set none of whose neighbours (one cause more or less) is weightier, with its ``size``.

    ``log_mass`` is the natural logarithm of the weight around it: its own times Π (1 + r) over its neighbours' relative
    weights r, as if causes came and went independently there.
    """

    size: int
    log_mass: float


class Landscape:
    """Log-weights of sets over the linked causes.

    ``log_odds`` of the causes and ``nothing``, the log-prior of the empty set; per observed finding a table of
    log-likelihoods and the ``strides`` of all causes, which add up to a set's place in it.
    """

    def __init__(self, log_odds: Floats, nothing: float, tables: Sequence[Floats], strides: Integers) -> None:
        self._log_odds, self._nothing = log_odds, nothing
        self._flat = np.concatenate([np.zeros(1), *tables])
        self._places = strides.T.astype(float)
        self._offsets = np.cumsum([1, *(len(table) for table in tables)])[:-1]

    def log_weights(self, members: Floats) -> Floats:
        """Log-weights of sets given as rows of zeros and ones, (sets, causes)."""
        columns = (members @ self._places).astype(np.intp) + self._offsets
        return np.asarray(self._flat.take(columns).sum(axis=1) + members @ self._log_odds + self._nothing)

    def summit_from_all(self) -> Summit:
        """The summit reached from the set of all causes by the steepest single steps."""
        flips = np.eye(len(self._log_odds))
        here = np.ones(len(self._log_odds))
        height = float(self.log_weights(here[None])[0])
        while True:
            around = np.abs(here - flips)
            heights = self.log_weights(around)
            best = int(heights.argmax())
            if heights[best] <= height:
                return Summit(int(here.sum()), height + float(np.log1p(np.exp(heights - height)).sum()))
            here, height = around[best], float(heights[best])
