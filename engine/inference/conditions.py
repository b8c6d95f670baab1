"""Conditions of rules: data that holds, fails or is unknown over a set of facts.

Grammar (as written in a record)::

    condition := {all: [condition, ...]} | {any: [condition, ...]} | {not: condition} | {ATTRIBUTE: test}
    test      := WORD | NUMBER | {in: [WORD, ...]} | {at_least: BOUND, below: BOUND} | known | unknown
    BOUND     := NUMBER | name of a parameter

A mapping with several attributes is the same as ``all`` of them. ``at_least`` and ``below`` may stand
alone. An attribute with no fact is unknown; a fact with the value *not-applicable* is known and fails
every test except ``known``. Three values (Kleene's strong logic, Kleene 1952): ``all`` fails as soon as
one member fails, ``any`` holds as soon as one member holds.

How sure an outcome is: ``all`` is as sure as its least sure member, ``any`` as its surest holding member,
and the other way round for failures; ``not`` keeps the sureness. ``known`` and ``unknown`` are certain.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any as Anything

from engine.inference.facts import NOT_APPLICABLE, Facts, Sureness, Value

MAXIMUM_DEPTH = 8
"""How deep conditions may nest; deeper ones are refused when a record is read."""


class Outcome(Enum):
    """What a condition comes to: holds, fails, or unknown for want of facts."""

    HOLDS = "holds"
    FAILS = "fails"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Test:
    """A test of one attribute.

    ``operator`` is ``in`` (operand: the allowed values), ``range`` (operand: lower bound or None, upper
    bound or None; the lower counts, the upper does not), ``known`` or ``unknown`` (operand: empty).
    Bounds may be names of parameters until `bind` puts the numbers in.
    """

    attribute: str
    operator: str
    operand: tuple[Value | None, ...] = ()


@dataclass(frozen=True, slots=True)
class All:
    """Holds when every member holds; fails as soon as one fails."""

    members: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Any:
    """Holds as soon as one member holds; fails when every member fails."""

    members: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Not:
    """Holds when its member fails, fails when it holds, unknown when it is unknown."""

    member: Condition


Condition = All | Any | Not | Test


@dataclass(frozen=True, slots=True)
class Evaluation:
    """The outcome of a condition, how sure it is, and the attributes on which it rests, sorted."""

    outcome: Outcome
    sureness: Sureness
    rests_on: tuple[str, ...]


def parse_condition(data: Anything) -> Condition:
    """The condition that a record's data stands for; ValueError says what is wrong and where in it.

    A value that is a Condition already is returned as it is.
    """
    if isinstance(data, (All, Any, Not, Test)):
        return data
    return _parse(data, 1)


def _parse(data: Anything, depth: int) -> Condition:
    if depth > MAXIMUM_DEPTH:
        raise ValueError(f"a condition nests deeper than {MAXIMUM_DEPTH} levels")
    if not isinstance(data, dict) or not data:
        raise ValueError(f"a condition is a mapping such as 'tide-line: yes' or 'all: [...]', not {data!r}")
    members = tuple(_parse_entry(name, value, depth) for name, value in data.items())
    return members[0] if len(members) == 1 else All(members)


def _parse_entry(name: Anything, value: Anything, depth: int) -> Condition:
    if name in ("all", "any"):
        if not isinstance(value, list) or not value:
            raise ValueError(f"'{name}' takes a list of at least one condition, not {value!r}")
        members = tuple(_parse(member, depth + 1) for member in value)
        return All(members) if name == "all" else Any(members)
    if name == "not":
        return Not(_parse(value, depth + 1))
    if not isinstance(name, str):
        raise ValueError(f"an attribute's name is text, not {name!r}")
    return _parse_test(name, value)


def _parse_test(attribute: str, value: Anything) -> Test:
    if value in ("known", "unknown"):
        return Test(attribute, value)
    if isinstance(value, bool) or value is None:
        raise ValueError(f"{attribute}: write yes or no, a word, a number or a test, not {value!r}")
    if isinstance(value, (str, int, float)):
        return Test(attribute, "in", (value if isinstance(value, str) else float(value),))
    if isinstance(value, dict) and set(value) == {"in"} and isinstance(value["in"], list) and value["in"]:
        words = value["in"]
        if not all(isinstance(word, str) for word in words):
            raise ValueError(f"{attribute}: 'in' takes a list of words, not {words!r}")
        return Test(attribute, "in", tuple(words))
    if isinstance(value, dict) and value and set(value) <= {"at_least", "below"}:
        bounds = tuple(value.get(name) for name in ("at_least", "below"))
        if any(isinstance(bound, bool) or not isinstance(bound, (str, int, float, type(None))) for bound in bounds):
            raise ValueError(f"{attribute}: a bound is a number or the name of a parameter, not {value!r}")
        return Test(attribute, "range", tuple(float(b) if isinstance(b, int) else b for b in bounds))
    raise ValueError(
        f"{attribute}: a test is a word, a number, {{in: [words]}}, {{at_least: n, below: n}}, known or unknown,"
        f" not {value!r}"
    )


def to_data(condition: Condition) -> Anything:
    """The condition as plain data in the grammar of records; `parse_condition` gives it back."""
    match condition:
        case All(members):
            return {"all": [to_data(member) for member in members]}
        case Any(members):
            return {"any": [to_data(member) for member in members]}
        case Not(member):
            return {"not": to_data(member)}
        case Test(attribute, "range", operand):
            named = zip(("at_least", "below"), operand, strict=True)
            return {attribute: {name: bound for name, bound in named if bound is not None}}
        case Test(attribute, "in", operand):
            return {attribute: operand[0] if len(operand) == 1 else {"in": list(operand)}}
        case Test(attribute, operator, _):
            return {attribute: operator}


def tests(condition: Condition) -> Iterator[Test]:
    """Every test in a condition, in reading order."""
    match condition:
        case All(members) | Any(members):
            for member in members:
                yield from tests(member)
        case Not(member):
            yield from tests(member)
        case Test():
            yield condition


def attributes(condition: Condition) -> frozenset[str]:
    """The names of the attributes that a condition asks about."""
    return frozenset(test.attribute for test in tests(condition))


def bind(condition: Condition, parameters: Mapping[str, float]) -> Condition:
    """The same condition with the names of parameters replaced by their numbers; KeyError for an unknown name."""
    match condition:
        case All(members):
            return All(tuple(bind(member, parameters) for member in members))
        case Any(members):
            return Any(tuple(bind(member, parameters) for member in members))
        case Not(member):
            return Not(bind(member, parameters))
        case Test(attribute, "range", operand):
            return Test(attribute, "range", tuple(parameters[b] if isinstance(b, str) else b for b in operand))
    return condition


def evaluate(condition: Condition, facts: Facts) -> Evaluation:
    """What a bound condition comes to over the facts, how sure that is, and on which attributes it rests."""
    match condition:
        case Test():
            return _evaluate_test(condition, facts)
        case Not(member):
            inner = evaluate(member, facts)
            outcome = {Outcome.HOLDS: Outcome.FAILS, Outcome.FAILS: Outcome.HOLDS}.get(inner.outcome, Outcome.UNKNOWN)
            return Evaluation(outcome, inner.sureness, inner.rests_on)
        case All(members):
            return _combine([evaluate(member, facts) for member in members], decisive=Outcome.FAILS)
        case Any(members):
            return _combine([evaluate(member, facts) for member in members], decisive=Outcome.HOLDS)


def _evaluate_test(test: Test, facts: Facts) -> Evaluation:
    fact = facts.get(test.attribute)
    if test.operator in ("known", "unknown"):
        holds = (fact is not None) == (test.operator == "known")
        return Evaluation(Outcome.HOLDS if holds else Outcome.FAILS, Sureness.CERTAIN, (test.attribute,))
    if fact is None:
        return Evaluation(Outcome.UNKNOWN, Sureness.CERTAIN, (test.attribute,))
    holds = fact.value != NOT_APPLICABLE and passes(test, fact.value)
    return Evaluation(Outcome.HOLDS if holds else Outcome.FAILS, fact.sureness, (test.attribute,))


def passes(test: Test, value: Value) -> bool:
    """Whether a known, applicable value passes an ``in`` or ``range`` test; a word never lies in a range."""
    if test.operator == "in":
        return value in test.operand
    if isinstance(value, str):
        return False
    at_least, below = test.operand
    above = at_least is None or value >= float(at_least)
    return above and (below is None or value < float(below))


def _combine(parts: list[Evaluation], decisive: Outcome) -> Evaluation:
    """Combine members of which one decisive outcome settles the whole; the surest deciding member counts."""
    deciding = [part for part in parts if part.outcome is decisive]
    if deciding:
        surest = max(part.sureness for part in deciding)
        return Evaluation(decisive, surest, _rests(part for part in deciding if part.sureness is surest))
    open_parts = [part for part in parts if part.outcome is Outcome.UNKNOWN]
    if open_parts:
        return Evaluation(Outcome.UNKNOWN, Sureness.CERTAIN, _rests(open_parts))
    settled = Outcome.HOLDS if decisive is Outcome.FAILS else Outcome.FAILS
    return Evaluation(settled, min(part.sureness for part in parts), _rests(parts))


def _rests(parts: Iterator[Evaluation] | list[Evaluation]) -> tuple[str, ...]:
    return tuple(sorted({name for part in parts for name in part.rests_on}))
