"""What a question is worth: every allowed answer is run through the rules and weighed anew."""

from __future__ import annotations

from collections.abc import Mapping
from collections.abc import Set as Collection
from dataclasses import dataclass, field
from functools import cached_property

from engine.inference.conditions import attributes
from engine.inference.facts import Value
from engine.inquiry.answers import AnswerBook
from engine.inquiry.firmness import Firmness, Wanted
from engine.inquiry.knowing import State
from engine.inquiry.trying import Trials
from engine.opinion.reasoner import Reasoner
from engine.rulebook.compiling import active_rules

_HALF_PER_BIT = 0.5 * 0.23026**2 / 0.6931
"""Bits that a small shift of log-odds by 1 dB tells of a cause, for each unit of p(1 − p) and of its own variance."""

Tally = Mapping[tuple[str, ...], tuple[int, int]]
"""By kind of question how many were answered, of how many that were put."""


@dataclass(frozen=True, slots=True)
class Supposed:
    """One allowed answer: its probability now, and the belief in each cause that it would lead to."""

    value: Value
    chance: float
    beliefs: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Worth:
    """What a question is worth.

    ``bits`` expected drop in the entropy of the sets of causes; ``firm_bits`` what it adds towards making likely
    causes firm; ``answerable`` the chance of an answer; ``minutes`` of effort.
    """

    question: str
    bits: float
    firm_bits: float
    answerable: float
    minutes: float
    supposed: tuple[Supposed, ...] = ()

    @property
    def expected(self) -> float:
        """Worth with the chance that there is an answer at all [bits]."""
        return (self.bits + self.firm_bits) * self.answerable

    @property
    def rate(self) -> float:
        """Worth for each minute of effort [bits/minute]."""
        return self.expected / self.minutes


@dataclass(slots=True)
class _Reckoned:
    """What was reckoned of one state: the needs of likely causes, quick looks, and whole trials of questions.

    ``undecided`` names the questions of which the facts do not say whether they apply.
    """

    state: State
    wanted: Wanted
    undecided: frozenset[str]
    promises: dict[str, tuple[float, float]] = field(default_factory=dict)
    tried: dict[str, tuple[float, float, tuple[Supposed, ...]]] = field(default_factory=dict)


class Appraiser:
    """Appraises the questions of a rule base by the effort of answering at the desk, or, ``on_site``, of finding out.

    Holds no state of any case.
    """

    def __init__(self, reasoner: Reasoner, *, on_site: bool = False) -> None:
        self.reasoner, self.rulebook, self._effort = reasoner, reasoner.rulebook, "effort" if on_site else "desk"
        self.answers = AnswerBook(self.rulebook)
        self.trials = Trials(reasoner)
        self.firmness = Firmness(reasoner, self.answers)
        self._last: _Reckoned | None = None

    def _reckoned(self, state: State) -> _Reckoned:
        """What was reckoned of a state already, kept for the last one: an *unknown* leaves the state as it is."""
        if self._last is None or self._last.state is not state:
            self._last = _Reckoned(state, self.firmness.wanted(state), self.firmness.undecided(state))
        return self._last

    def promises(self, state: State) -> Mapping[str, tuple[float, float]]:
        """A quick look at every question [bits]: by its findings and leanings, and towards firm causes."""
        kept = self._reckoned(state)
        if not kept.promises:
            posterior = state.belief.posterior
            findings = {f for told in self._telling.values() for f in told} - posterior.observed
            predicted = state.suppositions.predictions(sorted(findings), state.evidence.masks)
            bits = {finding: told for finding, (_, told) in predicted.items()}
            firm = self.firmness.promise(kept.wanted)
            for name, telling in self._telling.items():
                told = sum(bits.get(finding, 0.0) * share for finding, share in telling.items())
                lean = self._leaning_bits(name, posterior.marginals)
                kept.promises[name] = (told + lean, firm.get(name, 0.0))
        return kept.promises

    @cached_property
    def _leanings(self) -> Mapping[str, tuple[tuple[str, float], ...]]:
        """Of every question the causes that some rule testing it leans to, with the bits that a shift would tell.

        They are still to be multiplied by the p(1 − p) of the cause.
        """
        found: dict[str, list[tuple[str, float]]] = {name: [] for name in self.rulebook.questions}
        spread = {name: 1 - sum(share * share for share in self.answers.commonness(name).values()) for name in found}
        for rule in active_rules(self.rulebook):
            for conclusion in rule.conclude:
                if conclusion.leaning is not None:
                    weight = abs(self.rulebook.word("leaning", conclusion.strength or ""))
                elif conclusion.exclude is not None:
                    weight = self.rulebook.parameter("exclusion-decibans")
                else:
                    continue
                for name in attributes(rule.when) & found.keys():
                    told = _HALF_PER_BIT * weight * weight * spread[name] / 2
                    found[name].append((conclusion.leaning or conclusion.exclude or "", told))
        return {name: tuple(leanings) for name, leanings in found.items()}

    @cached_property
    def _telling(self) -> Mapping[str, Mapping[str, float]]:
        """Of every question the findings that it settles, and with a half share those of the rules that test it."""
        found = {name: dict.fromkeys(findings, 1.0) for name, findings in self.answers.settles.items()}
        for rule in active_rules(self.rulebook):
            concluded = {conclusion.finding for conclusion in rule.conclude if conclusion.finding is not None}
            for name in attributes(rule.when) & found.keys():
                found[name] = {**dict.fromkeys(concluded, 0.5), **found[name]}
        return found

    def kinds(self, name: str) -> tuple[tuple[str, ...], ...]:
        """The kinds of question among which one counts, the widest first: setting or sign, then also its topic.

        A setting is how and where the place is built: it settles no sign and is nearly always known.
        """
        kind = "sign" if self.answers.settles[name] else "setting"
        return ((kind,), (kind, self.rulebook.questions[name].topic))

    def answerable(self, name: str, tally: Tally) -> float:
        """The chance that a question can be answered: judgement, corrected by how like questions went in this case.

        Like are those of the same kinds; each kind a share of successes with the wider share as so many earlier trials.
        """
        trials = self.rulebook.parameter("answerable-trials")
        effort = self.rulebook.questions[name].effort
        chance = self.rulebook.parameter(f"answerable-{effort}" if self.answers.settles[name] else "answerable-setting")
        for kind in self.kinds(name):
            known, asked = tally.get(kind, (0, 0))
            chance = (chance * trials + known) / (trials + asked)
        return chance

    def tally(self, answered: Collection[str], left: Collection[str]) -> Tally:
        """How many questions of each kind were answered, and how many were put."""
        found: dict[tuple[str, ...], tuple[int, int]] = {}
        for names, worked in ((answered, 1), (left, 0)):
            for name in names & self.rulebook.questions.keys():
                if not self.rulebook.questions[name].safety:
                    for kind in self.kinds(name):
                        known, asked = found.get(kind, (0, 0))
                        found[kind] = (known + worked, asked + 1)
        return found

    def _worth(
        self,
        state: State,
        name: str,
        bits: float,
        firm_bits: float,
        tally: Tally,
        supposed: tuple[Supposed, ...] = (),
    ) -> Worth:
        minutes = self.rulebook.parameter(f"{self._effort}-{self.rulebook.questions[name].effort}")
        chance = self.answerable(name, tally)
        if name in self._reckoned(state).undecided:
            chance *= self.rulebook.parameter("answerable-undecided")
        return Worth(name, bits, firm_bits, chance, minutes, supposed)

    def estimates(self, state: State, names: Collection[str], tally: Tally) -> list[Worth]:
        """A quick look at every question, the most promising a minute first: by its findings, leanings and checks."""
        promises = self.promises(state)
        found = [self._worth(state, name, *promises[name], tally) for name in names]
        return sorted(found, key=lambda worth: (-worth.rate, worth.question))

    def _leaning_bits(self, name: str, marginals: Mapping[str, float]) -> float:
        return sum(weight * marginals[cause] * (1 - marginals[cause]) for cause, weight in self._leanings[name])

    def appraise(self, state: State, name: str, tally: Tally) -> Worth:
        """The worth of one question: each allowed answer asserted, chained and weighed."""
        tried = self._reckoned(state).tried
        if name not in tried:
            tried[name] = self._try(state, name)
        bits, firm, supposed = tried[name]
        return self._worth(state, name, bits, firm, tally, supposed)

    def _try(self, state: State, name: str) -> tuple[float, float, tuple[Supposed, ...]]:
        posterior, suppositions, wanted = state.belief.posterior, state.suppositions, self._reckoned(state).wanted
        unseen = [finding for finding in self.answers.settles[name] if finding not in posterior.observed]
        predicted = {f: states for f, (states, _) in suppositions.predictions(unseen, state.evidence.masks).items()}
        chances = self.answers.chances(name, posterior, predicted)
        supposed, beliefs, firm = [], [], 0.0
        for value, chance in chances.items():
            evidence = self.trials.with_fact(state.evidence, self.answers.fact(name, value))
            priors = self.trials.priors(state.belief, name, evidence)
            beliefs.append(suppositions.weigh(priors, evidence.observations))
            marginals = suppositions.marginals(beliefs[-1])
            supposed.append(Supposed(value, chance, marginals))
            firm += chance * self.firmness.gain(wanted, evidence.facts, priors, marginals)
        bits = suppositions.shared_information(beliefs, list(chances.values()))
        return bits, firm, tuple(supposed)
