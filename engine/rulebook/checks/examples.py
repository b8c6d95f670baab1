"""Each rule's examples: on the one it must fire, on the other not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from engine.documents import FieldPath
from engine.errors import Problem
from engine.inference.chaining import Chain
from engine.inference.conditions import Outcome, attributes, evaluate
from engine.inference.facts import Fact
from engine.inference.rules import ChainRule, CycleError
from engine.rulebook.checks.inspection import STRATA, Inspection, listed
from engine.rulebook.models import Example, Rule


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Examples on which a rule does not do what they say.

    The facts of an example are completed by the findings that the rules of earlier strata, and of the rule's own,
    conclude from them; a finding that the example itself states stands as stated.
    """
    completing = _Completion(inspection)
    for rule in inspection.rules:
        bound = inspection.bound(rule)
        if bound is None or inspection.at_fault(rule.id, "when") or not _readable(inspection, rule):
            continue
        for kind, wanted in (("fires_on", True), ("silent_on", False)):
            for number, example in enumerate(getattr(rule, kind)):
                facts = completing.facts(bound, example)
                if facts is None or inspection.at_fault(rule.id, kind, number):
                    continue
                outcome = evaluate(bound.when, facts).outcome
                if (outcome is Outcome.HOLDS) is not wanted:
                    yield _fault(inspection, rule, (kind, number), outcome, facts)


def _readable(inspection: Inspection, rule: Rule) -> bool:
    """Whether all that the rule and its examples name is declared; what is not is said elsewhere."""
    named = {name for example in (*rule.fires_on, *rule.silent_on) for name in example.facts}
    return all(name in inspection.terms for name in named | attributes(rule.when))


class _Completion:
    """Findings that follow from the facts of an example, by the rules on which a rule's condition depends."""

    def __init__(self, inspection: Inspection) -> None:
        self._concluding: dict[str, list[ChainRule]] = {}
        for source in inspection.sources:
            if STRATA[source.stratum] in ("readings", "patterns"):
                for finding in source.rule.concludes():
                    self._concluding.setdefault(finding, []).append(source.rule)
        self._chain = cache(self._made_chain)

    def facts(self, bound: ChainRule, example: Example) -> Mapping[str, Fact] | None:
        """The facts of the example and what follows from them; None where the rules cannot be run."""
        given = {name: Fact(name, value) for name, value in example.facts.items()}
        wanted = frozenset(attributes(bound.when)) - given.keys()
        try:
            chain = self._chain(frozenset(name for name in wanted if name in self._concluding), frozenset(given))
        except (CycleError, ValueError):
            return None  # said by the check of rules against each other
        return chain.run(given).facts if chain else given

    def _made_chain(self, wanted: frozenset[str], given: frozenset[str]) -> Chain | None:
        rules: dict[str, ChainRule] = {}
        waiting = set(wanted)
        while waiting:
            for rule in self._concluding.get(waiting.pop(), ()):
                if rule.id not in rules and not rule.concludes() & given:
                    rules[rule.id] = rule
                    waiting |= {name for name in attributes(rule.when) if name in self._concluding} - given
        return Chain(rules.values(), backend="python") if rules else None


def _fault(inspection: Inspection, rule: Rule, path: FieldPath, outcome: Outcome, facts: Mapping[str, Fact]) -> Problem:
    if outcome is Outcome.HOLDS:
        advice = "change one fact so that the condition does not hold, or narrow the condition"
        return inspection.problem(rule.id, path, "a rule that fires here", "silent_on: a near miss", advice)
    missing = sorted(name for name in attributes(rule.when) if name not in facts)
    found = "a rule that does not fire here"
    if outcome is Outcome.UNKNOWN:
        found += f": nothing is known of {listed(missing)}"
    else:
        known = [f"{name} is {_said(facts[name])}" for name in sorted(attributes(rule.when)) if name in facts]
        found += f": its condition fails, where {listed(known)}"
    return inspection.problem(
        rule.id, path, found, "fires_on: facts on which it fires", "change the facts or the condition"
    )


def _said(fact: Fact) -> str:
    return fact.value if isinstance(fact.value, str) else f"{fact.value:g}"
