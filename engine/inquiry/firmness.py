"""What likely causes lack to be firm: checks of their gates, weight of findings, and more than one telling.

A conclusion is not firm because it is probable: `engine.opinion.determining` says what else it needs. Here the same
needs are turned into a worth in bits, so that a question that would meet one is asked though the cause is no longer in
doubt.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from engine.inference.conditions import Outcome, attributes, evaluate
from engine.inference.facts import Facts
from engine.inquiry.answers import AnswerBook
from engine.inquiry.applying import Applicability
from engine.inquiry.knowing import State
from engine.opinion.determining import Determination, determine, gate_state
from engine.opinion.reasoner import Reasoner, without
from engine.opinion.words import decibans, odds
from engine.rulebook.compiling import active_rules


@dataclass(frozen=True, slots=True)
class Wanted:
    """What would make likely causes firm.

    ``causes`` are the likely ones with their probability; ``made`` how many checks of each are made; ``weight`` what
    findings say for each [dB]; ``questions`` what each question is worth if it meets a need [bits]; ``waiting`` those
    of them that only another's answer would open.
    """

    causes: Mapping[str, float]
    made: Mapping[str, int]
    weight: Mapping[str, float]
    questions: Mapping[str, float]
    waiting: frozenset[str]


class Firmness:
    """Says what is wanted for firm conclusions on one rule base; holds no state of any case."""

    def __init__(self, reasoner: Reasoner, answers: AnswerBook) -> None:
        self.reasoner, self.rulebook, self.answers = reasoner, reasoner.rulebook, answers
        self.applicability = Applicability(reasoner.rulebook)
        self._behind: dict[str, frozenset[str]] = {}
        self._determined: tuple[State, Determination] | None = None
        self._doubted: tuple[State, State] | None = None

    def determination(self, state: State) -> Determination:
        """What is determined as things stand, causes outside the rule base left out."""
        if self._determined is None or self._determined[0] is not state:
            gates = {cause: gate_state(self.reasoner, cause, state.evidence.facts) for cause in self.rulebook.causes}
            found = determine(self.reasoner, state.evidence, state.belief, state.facts, gates, unknown=False)
            self._determined = (state, found)
        return self._determined[1]

    def doubted(self, state: State) -> State:
        """The state less the single telling that a conclusion rests on: what is asked next should bear it out."""
        if self._doubted is None or self._doubted[0] is not state:
            self._doubted = (state, self._without_carriers(state))
        return self._doubted[1]

    def _without_carriers(self, state: State) -> State:
        titles = self.determination(state).carried_by
        carriers = [name for name in state.facts if titles and self.rulebook.title(name) in titles]
        if not carriers:
            return state
        evidence = self.reasoner.suppose(without(state.facts, *carriers))
        return State(state.facts, evidence, self.reasoner.believe(evidence))

    @cached_property
    def _seen_through(self) -> Mapping[str, frozenset[str]]:
        """Of every finding the questions that settle it, and the facts and findings of the rules that conclude it."""
        found: dict[str, set[str]] = {}
        for name, findings in self.answers.settles.items():
            for finding in findings:
                found.setdefault(finding, set()).add(name)
        for rule in active_rules(self.rulebook):
            for conclusion in rule.conclude:
                if conclusion.finding is not None:
                    found.setdefault(conclusion.finding, set()).update(attributes(rule.when))
        return {finding: frozenset(names) for finding, names in found.items()}

    def behind(self, name: str) -> frozenset[str]:
        """The questions that an attribute or a finding may come from, through whatever rules."""
        if name not in self._behind:
            reached, waiting = {name}, [name]
            while waiting:
                new = self._seen_through.get(waiting.pop(), frozenset()) - reached
                reached |= new
                waiting += sorted(new)
            self._behind[name] = frozenset(reached & self.rulebook.questions.keys())
        return self._behind[name]

    @cached_property
    def _speaking(self) -> Mapping[str, frozenset[str]]:
        """Of every cause the questions that settle a finding which it makes."""
        makes = self.rulebook.findings
        return {
            cause: frozenset(
                name
                for name, findings in self.answers.settles.items()
                if any(cause in makes[finding].makes for finding in findings)
            )
            for cause in self.rulebook.causes
        }

    def wanted(self, state: State) -> Wanted:
        """What the likely causes lack."""
        numbers = self.rulebook.numbers
        posterior, facts = state.belief.posterior, state.evidence.facts
        causes = {c: p for c, p in posterior.marginals.items() if p >= numbers["check-wanted-at-least"]}
        made, weight, questions = {}, {}, dict[str, float]()
        for cause, probability in causes.items():
            worth = probability * numbers["check-worth"]
            checks = self.reasoner.checks_made(cause, facts)
            made[cause] = sum(done for _, _, done in checks)
            for (_, _, condition), (_, _, done) in zip(self.reasoner.gates[cause], checks, strict=True):
                if not done:
                    _add(questions, {q for name in attributes(condition) for q in self.behind(name)}, worth)
            weight[cause] = posterior.evidence_decibans_any((cause,))
            lacking = 1 - self._share(weight[cause])
            if lacking > 0:
                _add(questions, self._speaking[cause], worth * lacking)
        open_now = {name: worth for name, worth in questions.items() if name not in state.facts}
        waiting = frozenset(name for name in open_now if self._opens(name, facts) is Outcome.UNKNOWN)
        return Wanted(causes, made, weight, open_now, waiting)

    def undecided(self, state: State) -> frozenset[str]:
        """The questions of which the facts do not say whether they apply."""
        facts = state.evidence.facts
        return frozenset(n for n in self.applicability.conditions if self._opens(n, facts) is Outcome.UNKNOWN)

    def _opens(self, name: str, facts: Facts) -> Outcome:
        condition = self.applicability.conditions.get(name)
        return Outcome.HOLDS if condition is None else evaluate(condition, facts).outcome

    def _share(self, weight: float) -> float:
        """How much of the weight that a firm cause needs is there, 0 to 1."""
        return min(max(weight / self.rulebook.parameter("determined-evidence-decibans"), 0.0), 1.0)

    def promise(self, wanted: Wanted) -> dict[str, float]:
        """What each question is worth for the needs at a quick look [bits]: half, as an answer may meet one or not.

        A question that opens another has its share in it, halved again.
        """
        found = {name: worth / 2 for name, worth in wanted.questions.items()}
        for name in wanted.waiting:
            for opener in attributes(self.applicability.conditions[name]) & self.rulebook.questions.keys():
                found[opener] = max(found.get(opener, 0.0), wanted.questions[name] / 4)
        return found

    def gain(self, wanted: Wanted, facts: Facts, priors: Mapping[str, float], beliefs: Mapping[str, float]) -> float:
        """How much nearer to firm the likely causes come on some facts, with these priors and beliefs [bits, ≥ 0]."""
        worth = self.rulebook.parameter("check-worth")
        total = 0.0
        for cause, probability in wanted.causes.items():
            made = sum(done for _, _, done in self.reasoner.checks_made(cause, facts)) - wanted.made[cause]
            said = self._share(self._weight(priors[cause], beliefs[cause])) - self._share(wanted.weight[cause])
            total += probability * worth * (made + said)
        opened = [wanted.questions[name] for name in wanted.waiting if self._opens(name, facts) is Outcome.HOLDS]
        return max(total, max(opened, default=0.0) / 4, 0.0)

    @staticmethod
    def _weight(prior: float, belief: float) -> float:
        return 0.0 if prior in (0, 1) or belief in (0, 1) else decibans(odds(belief) / odds(prior))


def _add(worths: dict[str, float], names: Iterable[str], worth: float) -> None:
    for name in names:
        worths[name] = worths.get(name, 0.0) + worth
