"""Belief: from observed findings to the causes that could have produced them, several at once.

A two-layer network: causes are yes or no, independent before evidence, and may coexist; each finding depends
on the causes as `engine.inference.noisy` says, findings that echo each other count less
(`engine.inference.echoes`), and the weighing runs over sets of causes until what is left out is negligible
(`engine.inference.growth`). Causes of which no observed finding says anything keep their priors, exactly, and
stay out of the sets; excluded causes (prior 0) leave the network.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from engine.errors import nearest
from engine.inference.bounded import Bounded
from engine.inference.echo_order import EchoFault, echo_faults
from engine.inference.echoes import EchoModel, check_echoes, exponents
from engine.inference.facts import Sureness
from engine.inference.growth import grow
from engine.inference.landscape import Landscape
from engine.inference.noisy import FindingModel, Floats, NoisyFinding, ReportTable, reports, temper
from engine.inference.posterior import Posterior
from engine.inference.sets import MANY, Block, Integers, look_ups

__all__ = ["EchoFault", "EchoModel", "FindingModel", "Network", "Observation", "Posterior", "echo_faults"]

RATIOS: Mapping[Sureness, float] = {Sureness.CERTAIN: math.inf, Sureness.FAIRLY_SURE: 10.0, Sureness.NOT_SURE: 3.0}
"""How many times likelier a report is where it is true, by how sure it is."""
MOST_CAUSES_AT_ONCE = 22
"""Linked causes beyond which the weighing of all sets is refused for want of memory."""
TABLE_BYTES = 24 << 20
"""Bound on the tables, and on the look-ups of columns, that a network keeps [bytes]."""
ROW_BYTES = 16 << 20
"""Bound on the log-likelihood rows that a network keeps [bytes]."""

LAYOUTS = 256
"""How many layouts a network keeps, one for each combination of excluded causes that was met."""


@dataclass(frozen=True, slots=True)
class Observation:
    """A finding seen in one of its states; ``mask`` in [0, 1) is the share of it that circumstances hide."""

    finding: str
    state: str
    sureness: Sureness = Sureness.CERTAIN
    mask: float = 0.0


class Reading(NamedTuple):
    """An observation as the arithmetic sees it: positions of finding and state, and how it counts."""

    finding: int
    state: int
    ratio: float
    mask: float
    exponent: float


class Layout(NamedTuple):
    """How the tables of all findings are laid out: by finding the causes kept, and (findings, causes) strides."""

    kept: tuple[tuple[int, ...], ...]
    strides: Integers


class Network:
    """Causes, findings and echo groups, ready to weigh evidence; immutable, and may be shared by threads.

    ``ratios`` says how many times likelier a report is where it is true (≥ 1, infinite = certain).
    Raises ValueError, naming the record, for repeated ids, unknown names, probabilities not strictly between 0
    and 1, graded findings out of order and findings in two echo groups.
    """

    def __init__(
        self,
        causes: Sequence[str],
        findings: Iterable[FindingModel],
        echoes: Iterable[EchoModel] = (),
        ratios: Mapping[Sureness, float] = RATIOS,
    ) -> None:
        self.causes = tuple(causes)
        self.position = {cause: i for i, cause in enumerate(self.causes)}
        if len(self.position) < len(self.causes):
            raise ValueError("a cause is named twice")
        self.models = tuple(NoisyFinding(model, self.position) for model in findings)
        self.findings = tuple(model.id for model in self.models)
        self.finding_position = {finding: i for i, finding in enumerate(self.findings)}
        if len(self.finding_position) < len(self.findings):
            raise ValueError("a finding is named twice")
        self.echoes = tuple(echoes)
        self.groups = check_echoes(self.echoes, self.finding_position)
        self.ratios = {sureness: float(ratios[sureness]) for sureness in Sureness}
        if any(not ratio >= 1 for ratio in self.ratios.values()):
            raise ValueError(f"likelihood ratios of 1 or more are needed, not {self.ratios!r}")
        self._tables: Bounded[ReportTable] = Bounded(TABLE_BYTES, lambda table: table.bytes)
        self._look_ups: Bounded[tuple[Integers, ...]] = Bounded(
            TABLE_BYTES, lambda tables: sum(t.nbytes for t in tables)
        )
        self._rows: Bounded[Floats] = Bounded(ROW_BYTES, lambda row: row.nbytes)
        self._layouts: Bounded[Layout] = Bounded(LAYOUTS, lambda layout: 1)

    def weigh(
        self, priors: Mapping[str, float], observations: Iterable[Observation], *, exact: bool = False
    ) -> Posterior:
        """Belief in the causes after the observations; their order does not matter, to the bit.

        ``priors`` gives every cause a probability in [0, 1), leanings included; 0 excludes it. A finding that is not
        observed is neutral. ``exact`` weighs every set. Raises ValueError for unknown or missing names, priors or
        masks out of range, a finding observed twice, or too many causes to weigh every set.
        """
        self._check_priors(priors)
        seen = tuple(sorted(observations, key=lambda observation: self.place(observation.finding)))
        readings = self.readings(seen)
        prior = np.array([priors[cause] for cause in self.causes], dtype=float)
        layout = self.layout(prior)
        kept = [layout.kept[reading.finding] for reading in readings]
        linked = tuple(sorted({cause for causes in kept for cause in causes}))
        log_odds = np.log(prior[list(linked)]) - np.log1p(-prior[list(linked)])
        nothing = float(np.log1p(-prior[list(linked)]).sum())
        odds = look_ups(log_odds)

        def log_weights(block: Block) -> Floats:
            total = np.asarray(block.sums(odds) + nothing)
            for reading, causes in zip(readings, kept, strict=True):
                total += self._row(reading, causes, linked, block)
            return total

        def landscape() -> Landscape:
            rows = [self._log_likelihoods(reading, causes) for reading, causes in zip(readings, kept, strict=True)]
            strides = layout.strides[[reading.finding for reading in readings]][:, linked]
            return Landscape(log_odds, nothing, rows, strides)

        if exact and len(linked) > MOST_CAUSES_AT_ONCE:
            raise ValueError(f"every set of {len(linked)} causes is too many; at most {MOST_CAUSES_AT_ONCE} causes")
        weighed = grow(len(linked), log_weights, landscape, exact=exact)
        return Posterior(self, prior, seen, readings, linked, weighed, exact)

    def place(self, finding: str) -> int:
        """Position of a finding; ValueError for an unknown name."""
        if finding not in self.finding_position:
            raise ValueError(_unknown("finding", finding, self.findings))
        return self.finding_position[finding]

    def cause_place(self, cause: str) -> int:
        """Position of a cause; ValueError for an unknown name."""
        if cause not in self.position:
            raise ValueError(_unknown("cause", cause, self.causes))
        return self.position[cause]

    def readings(self, observations: Sequence[Observation]) -> tuple[Reading, ...]:
        """The observations made ready, with the exponents that they have together."""
        seen = {observation.finding for observation in observations}
        shares = exponents({self.groups[finding] for finding in seen if finding in self.groups}, seen)
        found = []
        for observation in observations:
            model = self.models[self.place(observation.finding)]
            if observation.state not in model.states:
                raise ValueError(f"finding {model.id!r}: " + _unknown("state", observation.state, model.states))
            if not 0 <= observation.mask < 1:
                raise ValueError(f"finding {model.id!r}: a mask in [0, 1) is needed, not {observation.mask!r}")
            state, share = model.states.index(observation.state), shares.get(model.id, 1.0)
            ratio = self.ratios[observation.sureness]
            found.append(Reading(self.place(model.id), state, ratio, float(observation.mask), share))
        if len({reading.finding for reading in found}) < len(found):
            raise ValueError("a finding is observed twice; one observation of each is weighed")
        return tuple(found)

    def table(self, finding: int, kept: tuple[int, ...], ratio: float, mask: float, exponent: float) -> ReportTable:
        """Probabilities of the reports of a finding's states, by column over the kept causes."""

        def compute() -> ReportTable:
            plain = self.models[finding].probabilities(kept, mask)
            return ReportTable(reports(temper(plain, exponent), ratio))

        return self._tables.get((finding, kept, ratio, mask, exponent), compute)

    def columns(self, finding: int, kept: tuple[int, ...], linked: tuple[int, ...], block: Block) -> Integers:
        """For each set over the linked causes, its column in a finding's table; kept causes not linked are absent."""
        key = (finding, kept, linked)
        return block.sums(self._look_ups.get(key, lambda: look_ups(self._strides(finding, kept, linked))))

    def _strides(self, finding: int, kept: tuple[int, ...], linked: tuple[int, ...]) -> Integers:
        strides = dict(zip(kept, self.models[finding].columns(kept).strides, strict=True))
        return np.array([strides.get(cause, 0) for cause in linked], dtype=np.intp)

    def layout(self, prior: Floats) -> Layout:
        """For every finding the causes that bear on it and the strides of all causes, where some are excluded."""

        def compute() -> Layout:
            everything = tuple(range(len(self.causes)))
            kept = tuple(tuple(cause for cause in model.parents if prior[cause] > 0) for model in self.models)
            strides = [self._strides(finding, causes, everything) for finding, causes in enumerate(kept)]
            return Layout(kept, np.array(strides, dtype=np.intp).reshape(len(kept), len(everything)))

        return self._layouts.get((prior > 0).tobytes(), compute)

    def likelihoods(self, readings: Sequence[Reading], prior: Floats, linked: tuple[int, ...], block: Block) -> Floats:
        """Likelihood of each reading under every set of a block, (readings, sets)."""
        layout = self.layout(prior)
        tables = [self.table(r.finding, layout.kept[r.finding], *r[2:]).probabilities[r.state] for r in readings]
        offsets = np.cumsum([0, *map(len, tables)])[:-1]
        columns = block.columns(layout.strides[[reading.finding for reading in readings]][:, linked])
        columns += offsets[:, None]
        return np.asarray(np.concatenate(tables).take(columns))

    def _log_likelihoods(self, reading: Reading, kept: tuple[int, ...]) -> Floats:
        table = self.table(reading.finding, kept, reading.ratio, reading.mask, reading.exponent)
        return np.asarray(table.logs[reading.state])

    def _row(self, reading: Reading, kept: tuple[int, ...], linked: tuple[int, ...], block: Block) -> Floats:
        """Log-likelihood of a reading under every set of a block; kept for the next weighing, unless huge."""

        def compute() -> Floats:
            columns = self.columns(reading.finding, kept, linked, block)
            return np.asarray(self._log_likelihoods(reading, kept).take(columns))

        if block.complete and len(block.patterns) > MANY:
            return compute()
        return self._rows.get((reading, kept, linked, block), compute)

    def _check_priors(self, priors: Mapping[str, float]) -> None:
        for cause in priors:
            self.cause_place(cause)
        for cause in self.causes:
            if cause not in priors:
                raise ValueError(f"cause {cause!r} has no prior")
            if not 0 <= priors[cause] < 1:
                raise ValueError(f"cause {cause!r}: a prior in [0, 1) is needed, not {priors[cause]!r}")


def _unknown(kind: str, name: str, names: Sequence[str]) -> str:
    close = nearest(name, names)
    return f"{name!r} is not a {kind} of this network" + (f"; did you mean {close!r}?" if close else "")
