"""The answers that a question allows, as facts, and how probable each is on what is known so far."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cached_property
from itertools import pairwise

from engine.inference.conditions import Outcome as Truth
from engine.inference.conditions import bind, evaluate, tests
from engine.inference.facts import Fact, Sureness, Value
from engine.inference.posterior import Posterior
from engine.opinion.resolving import lowered
from engine.rulebook import Rulebook
from engine.rulebook.compiling import active_rules, observed_states
from engine.rulebook.models import Question


class AnswerBook:
    """What each question of a rule base may be answered with, and which findings each answer settles by itself."""

    def __init__(self, rulebook: Rulebook) -> None:
        self.rulebook = rulebook

    @cached_property
    def allowed(self) -> Mapping[str, tuple[Value, ...]]:
        """Of every question its answers; of a number one from each stretch that the rules tell apart."""
        return {
            question.id: question.words() or self._numbers(question) for question in self.rulebook.questions.values()
        }

    @cached_property
    def bounds(self) -> Mapping[str, tuple[float, ...]]:
        """Of every question the numbers at which some rule, check or finding draws a line; empty for words."""
        rulebook = self.rulebook
        conditions = [rule.when for rule in active_rules(rulebook)]
        conditions += [question.applies for question in rulebook.questions.values() if question.applies is not None]
        conditions += [c.made_when for cause in rulebook.causes.values() for gate in cause.gate for c in gate.checks]
        for finding in rulebook.findings.values():
            for seen in finding.observed_by:
                conditions += observed_states(seen, finding).values()
        found: dict[str, set[float]] = {name: set() for name in rulebook.questions}
        for condition in conditions:
            for test in tests(bind(condition, rulebook.numbers)):
                if test.operator == "range" and test.attribute in found:
                    found[test.attribute] |= {float(bound) for bound in test.operand if bound is not None}
        return {name: tuple(sorted(bounds)) for name, bounds in found.items()}

    def _numbers(self, question: Question) -> tuple[float, ...]:
        low, high = question.minimum, question.maximum
        inner = [b for b in self.bounds[question.id] if (low is None or b > low) and (high is None or b < high)]
        edges = [low if low is not None else min(inner, default=0.0) - 1, *inner]
        edges.append(high if high is not None else max(inner, default=0.0) + 1)
        return tuple((a + b) / 2 for a, b in pairwise(edges))

    @cached_property
    def settles(self) -> Mapping[str, Mapping[str, Mapping[Value, str]]]:
        """Of every question the findings that it settles by ``observed_by``: the state that each answer gives."""
        found: dict[str, dict[str, dict[Value, str]]] = {name: {} for name in self.rulebook.questions}
        numbers = self.rulebook.numbers
        for finding in self.rulebook.findings.values():
            for seen in finding.observed_by:
                if seen.attribute in found:
                    states = {s: bind(c, numbers) for s, c in observed_states(seen, finding).items()}
                    for answer in self.allowed[seen.attribute]:
                        facts = {seen.attribute: Fact(seen.attribute, answer)}
                        for state, condition in states.items():
                            if evaluate(condition, facts).outcome is Truth.HOLDS:
                                found[seen.attribute].setdefault(finding.id, {})[answer] = state
        return found

    def fact(self, name: str, value: Value, sureness: Sureness = Sureness.CERTAIN) -> Fact:
        """An answer as the reasoner takes it: what an occupant tells is not direct and a grade less sure."""
        told = self.rulebook.questions[name].who == "occupant"
        return Fact(name, value, lowered(sureness) if told else sureness, not told, "supposed")

    def commonness(self, name: str) -> dict[Value, float]:
        """How often each answer is met, by the record, scaled to 1; all alike where the record does not say."""
        words = self.rulebook.questions[name].commonness or {}
        shares = {answer: self._share(words.get(str(answer))) for answer in self.allowed[name]}
        total = sum(shares.values())
        return {answer: share / total for answer, share in shares.items()}

    def _share(self, word: str | None) -> float:
        return 1.0 if word is None else self.rulebook.word("frequency", word)

    def chances(
        self, name: str, posterior: Posterior, predicted: Mapping[str, Mapping[str, float]]
    ) -> dict[Value, float]:
        """How probable each answer is.

        By commonness, corrected by what the belief predicts of each finding that the answers settle: within one
        state answers keep their proportions, and an answer that settles nothing keeps its share. ``predicted``
        {finding: {state: probability}} of the findings not yet observed.
        """
        common = self.commonness(name)
        weights = dict(common)
        for finding, states in self.settles[name].items():
            if finding in posterior.observed or finding not in predicted:
                continue
            settled = sum(common[answer] for answer in states)
            for state in set(states.values()):
                share = sum(common[answer] for answer, given in states.items() if given == state) / settled
                for answer, given in states.items():
                    if given == state:
                        weights[answer] *= predicted[finding][state] / share
        total = math.fsum(weights.values())
        return {answer: weight / total for answer, weight in weights.items()}
