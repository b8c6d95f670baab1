"""What single facts come to by the rule base's own rules: the findings that they settle, and where they lean.

Everything that a made-up case answers is chosen by this: no sign is tied to an answer here, the rules tie it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.inference.conditions import Outcome, attributes, evaluate, required
from engine.inference.facts import Fact, Facts, Value
from engine.inference.rules import ChainRule
from engine.rulebook import Rulebook
from engine.rulebook.compiling import compile_rules


@dataclass(frozen=True, slots=True)
class Implied:
    """What some facts settle: the states of findings, leanings by cause [dB], and the causes ruled out."""

    states: Mapping[str, frozenset[str]]
    leanings: Mapping[str, float]
    excluded: frozenset[str]

    def agreement(self, wanted: Mapping[str, str]) -> tuple[int, int]:
        """How many findings come out as wanted, and how many otherwise."""
        known = [(states, wanted[name]) for name, states in self.states.items() if name in wanted]
        right = sum(states == {state} for states, state in known)
        return right, len(known) - right

    def tilt(self, causes: frozenset[str]) -> float:
        """How much likelier the facts are where the causes are at work: the product of the leanings' ratios."""
        if causes & self.excluded:
            return 0.0
        return float(10 ** (sum(self.leanings.get(cause, 0.0) for cause in sorted(causes)) / 10))


class Implications:
    """The rules of the strata *readings* and *patterns*, looked up by the attributes that they test."""

    def __init__(self, rulebook: Rulebook) -> None:
        self.rulebook = rulebook
        rules = [rule for stratum in ("readings", "patterns") for rule in compile_rules(rulebook, stratum)]
        self._rules: dict[str, tuple[ChainRule, frozenset[str]]] = {
            rule.id: (rule, required(rule.when)) for rule in rules
        }
        self._testing: dict[str, list[str]] = {}
        for rule in rules:
            for name in attributes(rule.when):
                self._testing.setdefault(name, []).append(rule.id)
        self._kept: dict[tuple[str, Value], Implied] = {}

    def of_answer(self, attribute: str, value: Value) -> Implied:
        """What one answer settles where nothing else is known."""
        key = (attribute, value)
        if key not in self._kept:
            self._kept[key] = self.of({attribute: Fact(attribute, value)})
        return self._kept[key]

    def of(self, facts: Facts, known: Facts | None = None) -> Implied:
        """What the rules that test these facts conclude from them and what is ``known`` besides, without chaining."""
        everything = {**(known or {}), **facts}
        here = everything.keys()
        states: dict[str, set[str]] = {}
        leanings: dict[str, float] = {}
        excluded: set[str] = set()
        for name in sorted({rule for attribute in facts for rule in self._testing.get(attribute, ())}):
            rule, needed = self._rules[name]
            if not needed <= here or evaluate(rule.when, everything).outcome is not Outcome.HOLDS:
                continue
            for conclusion in rule.conclusions:
                if conclusion.kind == "finding":
                    states.setdefault(conclusion.target, set()).add(conclusion.value)
                elif conclusion.kind == "leaning":
                    weight = self.rulebook.word("leaning", conclusion.value)
                    leanings[conclusion.target] = leanings.get(conclusion.target, 0.0) + weight
                elif conclusion.kind == "exclude":
                    excluded.add(conclusion.target)
        return Implied({name: frozenset(of) for name, of in states.items()}, leanings, frozenset(excluded))
