"""How likely each state of a finding is, given which causes are at work.

Noisy-OR (J. Pearl, *Probabilistic Reasoning in Intelligent Systems*, 1988; from memory), widened by
suppression: a cause that makes the finding rarer takes away other occasions for it. With background
probability b, and over the causes in the set S strengths s and suppressions u,

    P(reached | S) = [1 − (1 − b·Π(1 − u))·Π(1 − s)] · Π(1 − m) · (1 − fact mask),

where the masks m hide the finding however it arises. Graded findings use the formula for every grade
"this or more" and take differences (noisy-MAX by cumulative probabilities: F. J. Díez, "Parameter
adjustment in Bayes networks: the generalized noisy OR-gate", 1993; from memory).
A report that is not certain is virtual evidence (Pearl 1988; from memory): a likelihood ratio between the
reported state and every other.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SMALLEST = 1e-300
"""Floor under a probability before its logarithm is taken."""
LEAST_GAP = 1e-9
"""By which share, at least, a higher grade must be rarer, or its absence commoner, than the one below."""


@dataclass(frozen=True)
class FindingModel:
    """A finding as its author states it.

    ``states`` weakest first; ``cumulative`` one (background, {cause: probability with that cause alone})
    per state above the weakest, for reaching that state or a higher one; ``cause_masks`` {cause: share hidden}.
    All probabilities lie strictly between 0 and 1. A cause that is not named changes nothing.
    """

    id: str
    states: tuple[str, ...]
    cumulative: tuple[tuple[float, Mapping[str, float]], ...]
    cause_masks: Mapping[str, float] = field(default_factory=dict)


def strength_and_suppression(background: float, alone: float) -> tuple[float, float]:
    """Strength s and suppression u of a cause with which alone a finding has probability ``alone``, both in [0, 1)."""
    if alone > background:
        return (alone - background) / (1 - background), 0.0
    return 0.0, 1 - alone / background


class Columns(NamedTuple):
    """How the columns of a finding's table stand for sets of causes.

    Causes that bear on the finding alike are one kind; only how many of each kind are at work matters. The column of a
    set is the sum of the ``strides`` of its causes. ``counts`` (columns, kinds); ``examples`` gives a row of the
    effects for each kind.
    """

    strides: dict[int, int]
    counts: NDArray[np.int64]
    examples: list[int]


class NoisyFinding:
    """A finding model made ready for arithmetic; ``parents`` are the positions of the causes that bear on it.

    Raises ValueError when the model is unsound: unknown causes, probabilities not strictly between 0 and 1,
    a wrong number of grades, or grades out of order under some set of causes.
    """

    def __init__(self, model: FindingModel, causes: Mapping[str, int]) -> None:
        _check(model, causes)
        self.id = model.id
        self.states = model.states
        self._background = np.array([background for background, _ in model.cumulative])
        effects: dict[int, list[tuple[float, float]]] = {}
        for grade, (background, makes) in enumerate(model.cumulative):
            for cause, alone in makes.items():
                grades = effects.setdefault(causes[cause], [(0.0, 0.0)] * len(model.cumulative))
                grades[grade] = strength_and_suppression(background, alone)
        masks = {causes[cause]: mask for cause, mask in model.cause_masks.items()}
        self.parents: tuple[int, ...] = tuple(
            sorted({cause for cause, grades in effects.items() if any(map(any, grades))} | set(masks))
        )
        nothing = [(0.0, 0.0)] * len(model.cumulative)
        pairs = np.array([effects.get(cause, nothing) for cause in self.parents])
        both = pairs.reshape(len(self.parents), len(nothing), 2)
        self._log_unmade, self._log_unsuppressed = np.log1p(-both[:, :, 0]), np.log1p(-both[:, :, 1])
        self._log_unmasked = np.log1p(-np.array([masks.get(cause, 0.0) for cause in self.parents]))
        effects_and_mask = np.column_stack([self._log_unmade, self._log_unsuppressed, self._log_unmasked])
        self._kinds = [row.tobytes() for row in effects_and_mask]
        if len(self.states) > 2:
            self._check_order(list(causes))

    @cached_property
    def columns(self) -> Columns:
        """The columns of the finding's table; the first has none of the parents at work, the last all of them."""
        kinds: dict[bytes, list[int]] = {}
        for row, kind in enumerate(self._kinds):
            kinds.setdefault(kind, []).append(row)
        strides, levels, total = dict[int, int](), [], 1
        for rows in kinds.values():
            strides |= dict.fromkeys((self.parents[row] for row in rows), total)
            levels.append((total, len(rows) + 1))
            total *= len(rows) + 1
        numbers = np.arange(total)
        counts = np.stack([numbers // stride % size for stride, size in levels], axis=1) if levels else numbers[:, None]
        return Columns(strides, counts, [rows[0] for rows in kinds.values()])

    @cached_property
    def _reached(self) -> tuple[Floats, Floats, Floats]:
        """Per grade and column, before masks: P(reached) and P(not reached); and per column what the masks leave."""
        columns = self.columns
        counts = columns.counts[:, : len(columns.examples)]
        log_unmade = self._log_unmade[columns.examples].T @ counts.T
        occasion = self._background[:, None] * np.exp(self._log_unsuppressed[columns.examples].T @ counts.T)
        unreached = (1 - occasion) * np.exp(log_unmade)
        reached = occasion - (1 - occasion) * np.expm1(log_unmade)
        return reached, unreached, np.exp(counts @ self._log_unmasked[columns.examples])

    def column(self, causes: Iterable[int]) -> int:
        """The column of a set of causes; those that do not bear on the finding change nothing."""
        return sum(self.columns.strides.get(cause, 0) for cause in causes)

    def probabilities(self, fact_mask: float = 0.0) -> Floats:
        """P(state | causes), shape (states, columns), with the columns of `columns`.

        ``fact_mask`` is the share [0, 1) of the finding hidden by known circumstances.
        """
        reached, unreached, left = self._reached
        left = left * (1 - fact_mask)
        table = np.empty((len(self.states), reached.shape[1]))
        table[0] = unreached[0] * left + (1 - left)
        table[1:-1] = _between(reached, unreached) * left
        table[-1] = reached[-1] * left
        return np.maximum(table, SMALLEST)

    def _check_order(self, causes: Sequence[str]) -> None:
        columns, (reached, unreached, _) = self.columns, self._reached
        least = LEAST_GAP * np.minimum(reached[:-1], unreached[1:])
        wrong = np.argwhere(_between(reached, unreached) <= least)
        if not len(wrong):
            return
        grade, column = min(wrong.tolist(), key=lambda fault: (columns.counts[fault[1]].sum(), fault[1], fault[0]))
        names = []
        for count, example in zip(columns.counts[column].tolist(), columns.examples, strict=False):
            alike = [i for i, kind in enumerate(self._kinds) if kind == self._kinds[example]]
            names += [causes[self.parents[i]] for i in alike[:count]]
        lower, higher = reached[grade, column], reached[grade + 1, column]
        raise ValueError(
            f"finding {self.id!r}: its grades are out of order: {self.states[grade + 2]!r} or more (probability"
            f" {higher:.4g}) must be rarer than {self.states[grade + 1]!r} or more ({lower:.4g}) with"
            f" {' and '.join(names) or 'no cause'} at work"
        )


def _between(reached: Floats, unreached: Floats) -> Floats:
    """P(one grade and not the next): the difference of whichever of the two is small, for accuracy."""
    return np.where(reached[:-1] < 0.5, reached[:-1] - reached[1:], unreached[1:] - unreached[:-1])


def temper(probabilities: Floats, exponent: float) -> Floats:
    """The probabilities of the states (first axis) raised to an exponent in [0, 1] and renormalised over the states."""
    if exponent == 1.0:
        return probabilities
    powers = probabilities**exponent
    return np.asarray(powers / powers.sum(axis=0))


def reports(probabilities: Floats, ratio: float) -> Floats:
    """Probabilities of the report of each state: the true one is ``ratio`` (≥ 1) times as likely as any other."""
    if math.isinf(ratio):
        return probabilities
    return np.asarray((probabilities * (1 - 1 / ratio) + 1 / ratio) / (1 + (len(probabilities) - 1) / ratio))


@dataclass(frozen=True, eq=False)
class ReportTable:
    """Probabilities of the reports of a finding's states; columns as in `NoisyFinding.columns`."""

    probabilities: Floats

    @property
    def bytes(self) -> int:
        """Memory that the table takes with all that is worked out from it."""
        return 6 * self.probabilities.nbytes

    @cached_property
    def logs(self) -> Floats:
        """Natural logarithms of the probabilities."""
        return np.asarray(np.log(self.probabilities))

    @cached_property
    def entropies(self) -> Floats:
        """Entropy of the report in each column [bits]."""
        return entropy(self.probabilities)

    @cached_property
    def telling(self) -> Floats:
        """The probabilities of all states but the last, and the entropies as a last row."""
        return np.vstack([self.probabilities[:-1], self.entropies])

    @cached_property
    def ends(self) -> Floats:
        """Summed probabilities of each state's report and of those before it."""
        return np.asarray(np.cumsum(self.probabilities, axis=0))


def entropy(probabilities: Floats) -> Floats:
    """Entropy over the first axis [bits]; a probability of 0 adds nothing."""
    return np.asarray(-(probabilities * np.log2(np.maximum(probabilities, SMALLEST))).sum(axis=0))


def _check(model: FindingModel, causes: Mapping[str, int]) -> None:
    where = f"finding {model.id!r}"
    if len(model.states) < 2 or len(set(model.states)) != len(model.states):
        raise ValueError(f"{where}: needs at least two different states, weakest first, not {model.states!r}")
    if len(model.cumulative) != len(model.states) - 1:
        raise ValueError(f"{where}: needs one background and causes for each of {model.states[1:]!r}")
    named = [
        (f"{state!r} with {cause}", cause, p) for state, (_, makes) in _graded(model) for cause, p in makes.items()
    ]
    named += [(f"the mask of {cause}", cause, p) for cause, p in model.cause_masks.items()]
    for label, cause, probability in named:
        if cause not in causes:
            raise ValueError(f"{where}: {cause!r} is not a cause of this network")
        _check_probability(f"{where}: {label}", probability)
    for state, (background, _) in _graded(model):
        _check_probability(f"{where}: background of {state!r}", background)


def _graded(model: FindingModel) -> list[tuple[str, tuple[float, Mapping[str, float]]]]:
    return list(zip(model.states[1:], model.cumulative, strict=True))


def _check_probability(label: str, probability: float) -> None:
    if not 0 < probability < 1:
        raise ValueError(f"{label}: a probability strictly between 0 and 1 is needed, not {probability!r}")
