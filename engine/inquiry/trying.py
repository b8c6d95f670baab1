"""An answer tried on evidence that stands: only the rules that it can reach are chained again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from engine.inference.chaining import Chain, ChainResult, Firing
from engine.inference.conditions import attributes
from engine.inference.facts import Fact, Sureness
from engine.inference.rules import ChainRule
from engine.opinion.reasoner import Belief, Evidence, Reasoner
from engine.rulebook.compiling import compile_rules


class Reach:
    """The rules that one attribute reaches, ready to run, and the findings that they may conclude.

    ``leans`` says whether any of them moves a cause before findings are weighed: a leaning or an exclusion.
    """

    def __init__(self, rules: tuple[ChainRule, ...], findings: frozenset[str]) -> None:
        self.names = frozenset(rule.id for rule in rules)
        self.findings = findings
        self.leans = any(c.kind in ("leaning", "exclude") for rule in rules for c in rule.conclusions)
        self.chain = Chain(rules, backend="python")


class Trials:
    """Tries further facts on the evidence of an area; holds no state of any case."""

    def __init__(self, reasoner: Reasoner) -> None:
        self.reasoner = reasoner
        self._reaches: dict[str, Reach] = {}

    @cached_property
    def _rules(self) -> tuple[ChainRule, ...]:
        return tuple(rule for name in ("readings", "patterns") for rule in compile_rules(self.reasoner.rulebook, name))

    @cached_property
    def _testing(self) -> dict[str, list[ChainRule]]:
        found: dict[str, list[ChainRule]] = {}
        for rule in self._rules:
            for name in attributes(rule.when):
                found.setdefault(name, []).append(rule)
        return found

    @cached_property
    def _concluding(self) -> dict[str, list[ChainRule]]:
        found: dict[str, list[ChainRule]] = {}
        for rule in self._rules:
            for finding in rule.concludes():
                found.setdefault(finding, []).append(rule)
        return found

    def reach(self, name: str) -> Reach:
        """The rules that test an attribute or a finding that may change with it, and all that conclude these."""
        if name not in self._reaches:
            rules: dict[str, ChainRule] = {}
            findings: set[str] = set()
            waiting = [name]
            while waiting:
                changed = waiting.pop()
                for rule in (*self._testing.get(changed, ()), *self._concluding.get(changed, ())):
                    if rule.id not in rules:
                        rules[rule.id] = rule
                        new = rule.concludes() - findings
                        findings |= new
                        waiting += sorted(new)
            self._reaches[name] = Reach(tuple(rules.values()), frozenset(findings))
        return self._reaches[name]

    @cached_property
    def _of_class(self) -> frozenset[str]:
        """The attributes by which a place is given its base rates."""
        places = self.reasoner.rulebook.reference_classes.values()
        return frozenset(name for place in places if place.when is not None for name in attributes(place.when))

    def priors(self, belief: Belief, name: str, evidence: Evidence) -> Mapping[str, float]:
        """The priors with a fact of this name in the evidence; those of ``belief``, to which it is added, if it can.

        They stay where no rule that the fact reaches leans to a cause or excludes one, and no base rate hangs on it.
        """
        reach = self.reach(name)
        if reach.leans or not self._of_class.isdisjoint({name, *reach.findings}):
            return self.reasoner.priors(evidence)
        return belief.priors

    def with_fact(self, evidence: Evidence, fact: Fact) -> Evidence:
        """The evidence had this fact been known too (or instead): the same as chaining everything again."""
        reach = self.reach(fact.attribute)
        known = {name: one for name, one in evidence.facts.items() if name not in reach.findings}
        found = reach.chain.run({**known, fact.attribute: fact})
        firings = (*(firing for firing in evidence.firings if firing.rule not in reach.names), *found.firings)
        contested = {name: claims for name, claims in evidence.contested.items() if name not in reach.findings}
        result = ChainResult(firings, found.facts, {**contested, **found.contested}, _doubts(firings))
        return self.reasoner.evidence_of(result)


def _doubts(firings: Iterable[Firing]) -> dict[str, tuple[tuple[str, Sureness], ...]]:
    doubts: dict[str, list[tuple[str, Sureness]]] = {}
    for firing in firings:
        for conclusion in firing.conclusions:
            if conclusion.kind == "doubt":
                doubts.setdefault(conclusion.target, []).append((firing.rule, Sureness.of(conclusion.value)))
    return {finding: tuple(sorted(lowered)) for finding, lowered in doubts.items()}
