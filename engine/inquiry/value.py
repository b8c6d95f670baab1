"""What a question is worth: every allowed answer is run through the rules and weighed anew."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as Collection
from dataclasses import dataclass
from functools import cached_property

from engine.inference.conditions import attributes
from engine.inference.facts import Facts, Value
from engine.inquiry.answers import AnswerBook
from engine.inquiry.knowing import State
from engine.inquiry.trying import Trials
from engine.opinion.determining import gate_state
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

    ``bits`` expected drop in the entropy of the sets of causes; ``check_bits`` what it adds by making checks without
    which a likely cause may not be firm; ``answerable`` the chance of an answer; ``minutes`` of effort.
    """

    question: str
    bits: float
    check_bits: float
    answerable: float
    minutes: float
    supposed: tuple[Supposed, ...] = ()

    @property
    def expected(self) -> float:
        """Worth with the chance that there is an answer at all [bits]."""
        return (self.bits + self.check_bits) * self.answerable

    @property
    def rate(self) -> float:
        """Worth for each minute of effort [bits/minute]."""
        return self.expected / self.minutes


class Appraiser:
    """Appraises the questions of a rule base; holds no state of any case."""

    def __init__(self, reasoner: Reasoner) -> None:
        self.reasoner, self.rulebook = reasoner, reasoner.rulebook
        self.answers = AnswerBook(self.rulebook)
        self.trials = Trials(reasoner)

    @cached_property
    def _leanings(self) -> Mapping[str, tuple[tuple[str, float], ...]]:
        """Of every question the causes that some rule testing it leans to, with the weight [dB]."""
        found: dict[str, list[tuple[str, float]]] = {name: [] for name in self.rulebook.questions}
        for rule in active_rules(self.rulebook):
            for conclusion in rule.conclude:
                if conclusion.leaning is not None:
                    weight = abs(self.rulebook.word("leaning", conclusion.strength or ""))
                elif conclusion.exclude is not None:
                    weight = self.rulebook.parameter("exclusion-decibans")
                else:
                    continue
                for name in attributes(rule.when) & found.keys():
                    found[name].append((conclusion.leaning or conclusion.exclude or "", weight))
        return {name: tuple(leanings) for name, leanings in found.items()}

    @cached_property
    def _seen_through(self) -> Mapping[str, frozenset[str]]:
        """Of every finding the questions by which it may be observed."""
        found: dict[str, set[str]] = {}
        for name, findings in self.answers.settles.items():
            for finding in findings:
                found.setdefault(finding, set()).add(name)
        return {finding: frozenset(names) for finding, names in found.items()}

    def answerable(self, name: str, tally: Tally) -> float:
        """The chance that a question can be answered: judgement, corrected by how like questions went in this case.

        Like are those of the same effort, and among them those of the same topic; each a share of successes with the
        wider share as so many earlier trials.
        """
        question, trials = self.rulebook.questions[name], self.rulebook.parameter("answerable-trials")
        chance = self.rulebook.parameter(f"answerable-{question.effort}")
        for kind in ((question.effort,), (question.effort, question.topic)):
            known, asked = tally.get(kind, (0, 0))
            chance = (chance * trials + known) / (trials + asked)
        return chance

    def tally(self, answered: Collection[str], left: Collection[str]) -> Tally:
        """How many questions of each effort, and of each effort and topic, were answered, and how many were put."""
        found: dict[tuple[str, ...], tuple[int, int]] = {}
        for names, worked in ((answered, 1), (left, 0)):
            for name in names & self.rulebook.questions.keys():
                question = self.rulebook.questions[name]
                if not question.safety:
                    for kind in ((question.effort,), (question.effort, question.topic)):
                        known, asked = found.get(kind, (0, 0))
                        found[kind] = (known + worked, asked + 1)
        return found

    def _worth(
        self, name: str, bits: float, check_bits: float, tally: Tally, supposed: tuple[Supposed, ...] = ()
    ) -> Worth:
        minutes = self.rulebook.parameter(f"effort-{self.rulebook.questions[name].effort}")
        return Worth(name, bits, check_bits, self.answerable(name, tally), minutes, supposed)

    def estimates(self, state: State, names: Collection[str], tally: Tally) -> list[Worth]:
        """A quick look at every question, the most promising a minute first: by its findings, leanings and checks."""
        posterior = state.belief.posterior
        findings = {f for name in names for f in self.answers.settles[name] if f not in posterior.observed}
        predicted = state.suppositions.predictions(sorted(findings), state.evidence.masks)
        bits = {finding: told for finding, (_, told) in predicted.items()}
        wanted = self.wanted_checks(state)
        found = []
        for name in names:
            told = sum(bits.get(finding, 0.0) for finding in self.answers.settles[name])
            lean = self._leaning_bits(name, posterior.marginals)
            found.append(self._worth(name, told + lean, wanted.get(name, 0.0) / 2, tally))
        return sorted(found, key=lambda worth: (-worth.rate, worth.question))

    def _leaning_bits(self, name: str, marginals: Mapping[str, float]) -> float:
        common = self.answers.commonness(name).values()
        spread = 1 - sum(share * share for share in common)
        return sum(
            _HALF_PER_BIT * weight * weight * spread / 2 * marginals[cause] * (1 - marginals[cause])
            for cause, weight in self._leanings[name]
        )

    def wanted_checks(self, state: State) -> dict[str, float]:
        """What questions would be worth if they made the checks that likely causes lack [bits], by question."""
        found: dict[str, float] = {}
        for cause, probability in self._likely(state):
            unmade = {check.title for check in gate_state(self.reasoner, cause, state.evidence.facts) if not check.made}
            for _, check, condition in self.reasoner.gates[cause]:
                if check.title in unmade:
                    for name in self._questions_behind(attributes(condition)):
                        found[name] = found.get(name, 0.0) + probability * self.rulebook.parameter("check-worth")
        return found

    def _likely(self, state: State) -> list[tuple[str, float]]:
        level = self.rulebook.parameter("check-wanted-at-least")
        return [(cause, p) for cause, p in state.belief.posterior.marginals.items() if p >= level]

    def _questions_behind(self, names: Iterable[str]) -> set[str]:
        behind: set[str] = set()
        for name in names:
            behind |= {name} if name in self.rulebook.questions else self._seen_through.get(name, frozenset())
        return behind

    def appraise(self, state: State, name: str, tally: Tally) -> Worth:
        """The worth of one question: each allowed answer asserted, chained and weighed."""
        posterior, suppositions = state.belief.posterior, state.suppositions
        unseen = [finding for finding in self.answers.settles[name] if finding not in posterior.observed]
        predicted = {f: states for f, (states, _) in suppositions.predictions(unseen, state.evidence.masks).items()}
        chances = self.answers.chances(name, posterior, predicted)
        made_now = self._made(state, state.evidence.facts)
        supposed, beliefs, checks = [], [], 0.0
        for value, chance in chances.items():
            evidence = self.trials.with_fact(state.evidence, self.answers.fact(name, value))
            beliefs.append(suppositions.weigh(self.reasoner.priors(evidence), evidence.observations))
            supposed.append(Supposed(value, chance, suppositions.marginals(beliefs[-1])))
            checks += chance * max(self._made(state, evidence.facts) - made_now, 0.0)
        bits = suppositions.shared_information(beliefs, list(chances.values()))
        return self._worth(name, bits, checks, tally, tuple(supposed))

    def _made(self, state: State, facts: Facts) -> float:
        """What the checks made for the likely causes are worth on these facts [bits]."""
        worth = self.rulebook.parameter("check-worth")
        return sum(
            probability * worth * sum(check.made for check in gate_state(self.reasoner, cause, facts))
            for cause, probability in self._likely(state)
        )
