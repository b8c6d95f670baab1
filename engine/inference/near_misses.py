"""Why a rule did not fire: the fewest tests that would have to come out otherwise."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from engine.inference.conditions import All, Any, Condition, Not, Outcome, Test, evaluate
from engine.inference.facts import Facts, Value
from engine.inference.rules import ChainRule


@dataclass(frozen=True, slots=True)
class Lack:
    """One test that stands between a condition and holding.

    ``wanted`` is whether the test would have to hold (false inside a ``not``); ``found`` is the value of the
    fact, or None where the attribute is unknown.
    """

    test: Test
    wanted: bool
    found: Value | None


def lacking(condition: Condition, facts: Facts) -> tuple[Lack, ...]:
    """The fewest tests that would have to come out otherwise for the condition to hold, in reading order.

    Empty when it holds; one alone makes a near miss. Of equally short ways the first written counts. Each
    place where a test stands is taken by itself: what one place lacks may stand in the way of another.
    """
    return _lacking(condition, facts, wanted=True)


def why_not(rule: ChainRule, facts: Facts) -> tuple[Lack, ...]:
    """What a rule lacks to fire over the facts (given and concluded); empty when it fires."""
    return lacking(rule.when, facts)


def near_misses(rules: Iterable[ChainRule], facts: Facts) -> tuple[tuple[str, Lack], ...]:
    """The rules that are one test short of firing, with that test, by id."""
    lacks = {rule.id: why_not(rule, facts) for rule in rules}
    return tuple((rule, lack[0]) for rule, lack in sorted(lacks.items()) if len(lack) == 1)


def _lacking(condition: Condition, facts: Facts, *, wanted: bool) -> tuple[Lack, ...]:
    match condition:
        case Test():
            if evaluate(condition, facts).outcome is (Outcome.HOLDS if wanted else Outcome.FAILS):
                return ()
            fact = facts.get(condition.attribute)
            return (Lack(condition, wanted, None if fact is None else fact.value),)
        case Not(member):
            return _lacking(member, facts, wanted=not wanted)
        case All(members) | Any(members):
            ways = [_lacking(member, facts, wanted=wanted) for member in members]
            if isinstance(condition, All) is wanted:
                return tuple(dict.fromkeys(lack for way in ways for lack in way))
            return min(ways, key=len)
