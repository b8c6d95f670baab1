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
from functools import cached_property
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
from engine.inference.sets import MANY, Block, Integers, look_ups, starts_of

__all__ = ["EchoFault", "EchoModel", "FindingModel", "Network", "Observation", "Posterior", "echo_faults"]

RATIOS: Mapping[Sureness, float] = {Sureness.CERTAIN: math.inf, Sureness.FAIRLY_SURE: 10.0, Sureness.NOT_SURE: 3.0}
"""How many times likelier a report is where it is true, by how sure it is."""
MOST_CAUSES_AT_ONCE = 22
"""Linked causes beyond which the weighing of all sets is refused for want of memory."""
TABLE_BYTES = 24 << 20
"""Bound on the tables that a network keeps [bytes]."""


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


class Sheet(NamedTuple):
    """What findings of as many states tell, unmasked and for certain: of each where its columns start, and all rows."""

    starts: dict[int, int]
    telling: Floats


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
        bearing = {cause for reading in readings for cause in self.models[reading.finding].parents}
        linked = tuple(cause for cause in sorted(bearing) if prior[cause] > 0)
        log_odds = np.log(prior[list(linked)]) - np.log1p(-prior[list(linked)])
        nothing = float(np.log1p(-prior[list(linked)]).sum())
        odds, strides = look_ups(log_odds), self.strides_of(readings, linked)
        tables = [self.logs(reading) for reading in readings]
        flat, starts = np.concatenate([*tables, np.empty(0)]), starts_of(map(len, tables))

        def log_weights(block: Block) -> Floats:
            total = np.asarray(block.sums(odds) + nothing)
            if block.complete and len(block.patterns) > MANY:
                for reading, logs in zip(readings, tables, strict=True):
                    total += logs.take(self.columns(reading.finding, linked, block))
            elif readings:
                total += flat.take(block.columns(strides, starts)).sum(axis=0)
            return total

        def landscape() -> Landscape:
            return Landscape(log_odds, nothing, tables, strides)

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

    @cached_property
    def strides(self) -> Integers:
        """How far each cause moves a set's column in the table of each finding, (findings, causes)."""
        found = np.zeros((len(self.models), len(self.causes)), dtype=np.intp)
        for row, model in zip(found, self.models, strict=True):
            for cause, stride in model.columns.strides.items():
                row[cause] = stride
        return found

    @cached_property
    def sheets(self) -> tuple[Sheet, ...]:
        """The tables of all findings side by side, by their number of states."""
        found = []
        for count in sorted({len(model.states) for model in self.models}):
            places = [place for place, model in enumerate(self.models) if len(model.states) == count]
            tables = [self.table(place).telling for place in places]
            starts = starts_of(table.shape[1] for table in tables)
            found.append(Sheet(dict(zip(places, starts.tolist(), strict=True)), np.concatenate(tables, axis=1)))
        return tuple(found)

    def strides_of(self, readings: Sequence[Reading], linked: tuple[int, ...]) -> Integers:
        """The strides of the linked causes in the tables of some readings, (readings, causes)."""
        return self.strides[[reading.finding for reading in readings]][:, linked]

    def table(self, finding: int, ratio: float = math.inf, mask: float = 0.0, exponent: float = 1.0) -> ReportTable:
        """Probabilities of the reports of a finding's states, by column; by default as they are, for certain."""

        def compute() -> ReportTable:
            return ReportTable(reports(temper(self.models[finding].probabilities(mask), exponent), ratio))

        return self._tables.get((finding, ratio, mask, exponent), compute)

    def tables(self, readings: Iterable[Reading]) -> list[ReportTable]:
        """The table of each reading."""
        return [self.table(r.finding, r.ratio, r.mask, r.exponent) for r in readings]

    def logs(self, reading: Reading) -> Floats:
        """Log-likelihood of a reading in each column of its table."""
        return np.asarray(self.tables([reading])[0].logs[reading.state])

    def likelihoods(self, readings: Sequence[Reading], linked: tuple[int, ...], block: Block) -> Floats:
        """Likelihood of each reading under every set of a block, (readings, sets)."""
        tables = [t.probabilities[r.state] for r, t in zip(readings, self.tables(readings), strict=True)]
        columns = block.columns(self.strides_of(readings, linked), starts_of(map(len, tables)))
        return np.asarray(np.concatenate(tables).take(columns))

    def columns(self, finding: int, linked: tuple[int, ...], block: Block) -> Integers:
        """For each set over the linked causes, its column in a finding's table; causes not linked are absent."""
        return block.sums(look_ups(self.strides[finding, linked]))

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
