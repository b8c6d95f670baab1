"""The compiled rule base at work: facts to findings, findings to weighed causes.

A `Reasoner` is built once per rule base and holds no state of any case, so one may serve many cases and
threads. Everything that re-weighs a changed copy of the evidence (what if, value of a question, steadiness)
goes through `Reasoner.find` and `Reasoner.believe`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from engine.inference.belief import Network, Observation, Posterior
from engine.inference.chaining import Chain, ChainResult, Firing
from engine.inference.conditions import Condition, bind, decider
from engine.inference.facts import Fact, Facts, Sureness
from engine.opinion.words import decibans, from_odds, odds
from engine.rulebook import Rulebook
from engine.rulebook.compiling import network, reference_class
from engine.rulebook.models import Check

Decide = Callable[[Facts], bool | None]
"""Whether a condition holds over facts; None where it is unknown."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What chaining made of the facts: the findings, the firings behind them, and what is contested."""

    facts: Facts
    firings: tuple[Firing, ...]
    contested: Mapping[str, tuple[tuple[str, str], ...]]
    observations: tuple[Observation, ...]
    masks: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class LeaningShare:
    """One firing's leaning towards (positive) or away from (negative) a cause [dB]."""

    rule: str
    cause: str
    decibans: float


@dataclass(frozen=True, slots=True)
class ExclusionShare:
    """One firing that rules a cause out; ``hard`` when it rests on certain, seen or measured facts."""

    rule: str
    cause: str
    hard: bool
    overturned_by: str


@dataclass(frozen=True, slots=True)
class Belief:
    """The weighed causes: base rates, priors after leanings and exclusions, and the posterior."""

    reference_class: str
    base_rates: Mapping[str, float]
    priors: Mapping[str, float]
    leanings: tuple[LeaningShare, ...]
    exclusions: tuple[ExclusionShare, ...]
    posterior: Posterior


class Reasoner:
    """A rule base compiled for use; ``backend`` says what chains the rules: auto, durable or python.

    ``words_of_rules`` keeps how each rule reads in a trace, once it has fired.
    """

    def __init__(self, rulebook: Rulebook, backend: str = "auto") -> None:
        self.rulebook = rulebook
        self._backend = backend
        self.words_of_rules: dict[str, dict[str, Any]] = {}

    def _chain(self, *strata: str) -> Chain:
        rules = (rule for stratum in strata for rule in self.rulebook.chain_rules[stratum])
        return Chain(rules, backend=self._backend)

    @cached_property
    def admission(self) -> Chain:
        """The rules that admit or void an instrument's readings."""
        return self._chain("admission")

    @cached_property
    def findings(self) -> Chain:
        """The rules from facts to findings, and those over patterns of findings, layered by dependency."""
        return self._chain("readings", "patterns")

    @cached_property
    def advice(self) -> Chain:
        """The rules after belief: steps, timber, cautions."""
        return self._chain("advice")

    @cached_property
    def network(self) -> Network:
        """The belief network of the rule base's causes and findings."""
        return network(self.rulebook)

    @cached_property
    def backend(self) -> str:
        """The name of what chains the rules."""
        return self.findings.backend

    @cached_property
    def gates(self) -> Mapping[str, tuple[tuple[str, Check, Condition], ...]]:
        """Of every cause the checks of its gate: rival, check, and its condition with the numbers put in."""
        numbers = self.rulebook.numbers
        return {
            cause.id: tuple(
                (gate.rival, check, bind(check.made_when, numbers)) for gate in cause.gate for check in gate.checks
            )
            for cause in self.rulebook.causes.values()
        }

    @cached_property
    def _gate_tests(self) -> Mapping[str, tuple[tuple[str, Check, Decide], ...]]:
        return {
            cause: tuple((rival, check, decider(condition)) for rival, check, condition in checks)
            for cause, checks in self.gates.items()
        }

    def checks_made(self, cause: str, facts: Facts) -> tuple[tuple[str, Check, bool], ...]:
        """The checks of a cause's gate, with the rival of each and whether it is made on these facts."""
        return tuple((rival, check, bool(made(facts))) for rival, check, made in self._gate_tests[cause])

    @cached_property
    def _fact_masks(self) -> tuple[tuple[str, Decide, float], ...]:
        numbers = self.rulebook.numbers
        return tuple(
            (finding.id, decider(bind(mask.when, numbers)), self.rulebook.word("mask", mask.strength))
            for finding in self.rulebook.findings.values()
            for mask in finding.masks
            if mask.when is not None
        )

    def find(self, facts: Facts) -> Evidence:
        """Chain the facts through the strata *readings* and *patterns*; order of the facts does not matter."""
        return self.evidence_of(self.findings.run(facts))

    @cached_property
    def _supposing(self) -> Chain:
        return self.findings.in_python()

    def suppose(self, facts: Facts) -> Evidence:
        """As `find`, always on the Python evaluator: quicker for a changed copy, and the same evidence."""
        return self.evidence_of(self._supposing.run(facts))

    def evidence_of(self, result: ChainResult) -> Evidence:
        """What a run of the strata *readings* and *patterns* comes to: findings as observed, doubted and masked."""
        settled = result.facts
        doubted = {name: min(sureness for _, sureness in doubts) for name, doubts in result.doubts.items()}
        masks = self._masks(settled)
        observations = tuple(
            Observation(
                finding,
                str(settled[finding].value),
                min(settled[finding].sureness, doubted.get(finding, Sureness.CERTAIN)),
                masks.get(finding, 0.0),
            )
            for finding in self.rulebook.findings
            if finding in settled
        )
        return Evidence(settled, result.firings, result.contested, observations, masks)

    def _masks(self, facts: Facts) -> dict[str, float]:
        shown: dict[str, float] = {}
        for finding, decide, strength in self._fact_masks:
            if decide(facts):
                shown[finding] = shown.get(finding, 1.0) * (1 - strength)
        return {finding: 1 - left for finding, left in shown.items()}

    def believe(self, evidence: Evidence, *, exact: bool = False) -> Belief:
        """Weigh the causes on the evidence; ``exact`` enumerates every set of causes."""
        place = reference_class(self.rulebook, evidence.facts)
        base_rates = self._base_rates(place)
        leanings, exclusions = self._leanings(evidence.firings)
        priors = self._priors(base_rates, leanings, exclusions)
        posterior = self.network.weigh(priors, evidence.observations, exact=exact)
        return Belief(place, base_rates, priors, leanings, exclusions, posterior)

    def priors(self, evidence: Evidence) -> dict[str, float]:
        """The probability of each cause before the findings: base rate, leanings, exclusions; 0 when excluded."""
        place = reference_class(self.rulebook, evidence.facts)
        return self._priors(self._base_rates(place), *self._leanings(evidence.firings))

    def _base_rates(self, place: str) -> dict[str, float]:
        return {cause.id: cause.base_rates[place] for cause in self.rulebook.causes.values()}

    def _leanings(self, firings: tuple[Firing, ...]) -> tuple[tuple[LeaningShare, ...], tuple[ExclusionShare, ...]]:
        leanings: list[LeaningShare] = []
        exclusions: list[ExclusionShare] = []
        for firing in firings:
            for conclusion in firing.conclusions:
                sureness = min(firing.sureness, conclusion.sureness)
                if conclusion.kind == "leaning":
                    weight = self.softened(self.rulebook.word("leaning", conclusion.value), sureness)
                    leanings.append(LeaningShare(firing.rule, conclusion.target, weight))
                elif conclusion.kind == "exclude":
                    hard = firing.direct and sureness is Sureness.CERTAIN
                    exclusions.append(ExclusionShare(firing.rule, conclusion.target, hard, conclusion.value))
        return tuple(leanings), tuple(exclusions)

    def softened(self, weight: float, sureness: Sureness) -> float:
        """A leaning's weight [dB] when its facts are not certain: the mean of its ratio and 1, by their odds."""
        if sureness is Sureness.CERTAIN:
            return weight
        ratio = self.ratio(sureness)
        factor = 10 ** (weight / 10)
        return decibans((ratio * factor + 1) / (ratio + 1))

    def ratio(self, sureness: Sureness) -> float:
        """The likelihood ratio that evidence of this sureness counts as (virtual evidence, Pearl 1988)."""
        return self.rulebook.parameter("fairly-sure-ratio" if sureness is Sureness.FAIRLY_SURE else "not-sure-ratio")

    def _priors(
        self,
        base_rates: Mapping[str, float],
        leanings: tuple[LeaningShare, ...],
        exclusions: tuple[ExclusionShare, ...],
    ) -> dict[str, float]:
        cap = self.rulebook.parameter("leaning-cap-decibans")
        soft = self.rulebook.parameter("exclusion-decibans")
        priors: dict[str, float] = {}
        for cause, rate in base_rates.items():
            against = [exclusion for exclusion in exclusions if exclusion.cause == cause]
            if any(exclusion.hard for exclusion in against):
                priors[cause] = 0.0
                continue
            lean = sum(leaning.decibans for leaning in leanings if leaning.cause == cause)
            total = max(-cap, min(cap, lean)) - (soft if against else 0.0)
            priors[cause] = from_odds(odds(rate) * 10 ** (total / 10))
        return priors


def without(facts: Facts, *attributes: str) -> dict[str, Fact]:
    """The facts less some attributes."""
    return {name: fact for name, fact in facts.items() if name not in attributes}
