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
Directness goes the same way, as the finer grade within one sureness: ``all`` is direct when every member
is, and among the members that decide an ``any`` a direct one is preferred to one as sure that is not.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any as Anything
from typing import NamedTuple

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

    __test__ = False  # this is no class of tests, whatever a test runner makes of its name

    attribute: str
    operator: str
    operand: tuple[Value | None, ...] = ()


@dataclass(frozen=True, slots=True)
class _Group:
    """Conditions taken together, at least one."""

    members: tuple[Condition, ...]

    def __post_init__(self) -> None:
        if not self.members:
            raise ValueError(f"'{type(self).__name__.lower()}' takes at least one condition")


@dataclass(frozen=True, slots=True)
class All(_Group):
    """Holds when every member holds; fails as soon as one fails."""


@dataclass(frozen=True, slots=True)
class Any(_Group):
    """Holds as soon as one member holds; fails when every member fails."""


@dataclass(frozen=True, slots=True)
class Not:
    """Holds when its member fails, fails when it holds, unknown when it is unknown."""

    member: Condition


Condition = All | Any | Not | Test


class Evaluation(NamedTuple):
    """The outcome of a condition, how sure it is, the attributes on which it rests, sorted, and its directness.

    ``direct`` is true when it rests on no fact that was only told or inferred.
    """

    outcome: Outcome
    sureness: Sureness
    rests_on: tuple[str, ...]
    direct: bool = True


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
        raise ValueError(f"a condition is a mapping such as 'attribute: yes' or 'all: [...]', not {data!r}")
    if len(data) == 1:
        return _parse_entry(*next(iter(data.items())), depth)
    return _parse({"all": [{name: value} for name, value in data.items()]}, depth)


def _parse_entry(name: Anything, value: Anything, depth: int) -> Condition:
    if name in ("all", "any"):
        if not isinstance(value, list) or not value:
            raise ValueError(f"'{name}' takes a list of at least one condition, not {value!r}")
        members = tuple(_parse(member, depth + 1) for member in value)
        return All(members) if name == "all" else Any(members)
    if name == "not":
        return Not(_parse(value, depth + 1))
    if not isinstance(name, str) or not name:
        raise ValueError(f"an attribute's name is text, not {name!r}")
    return _parse_test(name, value)


def _parse_test(attribute: str, value: Anything) -> Test:
    match value:
        case "known" | "unknown":
            return Test(attribute, value)
        case bool() | None:
            raise ValueError(f"{attribute}: write yes or no, a word, a number or a test, not {value!r}")
        case str():
            return Test(attribute, "in", (_word(attribute, value),))
        case int() | float():
            return Test(attribute, "in", (_number(attribute, value),))
        case {"in": [_, *_] as words, **others} if not others:
            return Test(attribute, "in", tuple(_word(attribute, word) for word in words))
        case dict() if value and value.keys() <= {"at_least", "below"}:
            return _parse_range(attribute, value)
    raise ValueError(
        f"{attribute}: a test is a word, a number, {{in: [words]}}, {{at_least: n, below: n}}, known or unknown,"
        f" not {value!r}"
    )


def _parse_range(attribute: str, value: Mapping[str, Anything]) -> Test:
    bounds = {name: bound if isinstance(bound, str) else _number(attribute, bound) for name, bound in value.items()}
    at_least, below = bounds.get("at_least"), bounds.get("below")
    if isinstance(at_least, float) and isinstance(below, float) and not at_least < below:
        raise ValueError(f"{attribute}: nothing is at least {at_least!r} and below {below!r}")
    return Test(attribute, "range", (at_least, below))


def _word(attribute: str, word: Anything) -> str:
    if not isinstance(word, str):
        raise ValueError(f"{attribute}: 'in' takes a list of words, not {word!r}")
    if word in ("known", "unknown"):
        raise ValueError(f"{attribute}: {word!r} is a test of its own and stands alone, or as a member of 'any'")
    if word == NOT_APPLICABLE:
        raise ValueError(f"{attribute}: {word!r} passes no test except 'known'; ask about the answer that matters")
    return word


def _number(attribute: str, number: Anything) -> float:
    if isinstance(number, bool) or not isinstance(number, (int, float)):
        raise ValueError(f"{attribute}: a bound is a number or the name of a parameter, not {number!r}")
    if not abs(number) <= sys.float_info.max:
        raise ValueError(f"{attribute}: a number is finite, at most about 1.8e308 in size")
    return float(number)


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


def required(condition: Condition) -> frozenset[str]:
    """The names of attributes that must all be known before a condition can hold."""
    match condition:
        case All(members):
            return frozenset().union(*map(required, members))
        case Any(members):
            return frozenset.intersection(*map(required, members))
        case Test(attribute, operator, _) if operator != "unknown":
            return frozenset({attribute})
    return frozenset()


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
            return Evaluation(_OPPOSITE[inner.outcome], inner.sureness, inner.rests_on, inner.direct)
        case All(members):
            return _combine([evaluate(member, facts) for member in members], decisive=Outcome.FAILS)
        case Any(members):
            return _combine([evaluate(member, facts) for member in members], decisive=Outcome.HOLDS)


def decider(condition: Condition) -> Callable[[Facts], bool | None]:
    """A quick test of a bound condition over facts: holds (True), fails (False) or unknown (None).

    What it comes to is what `evaluate` says at greater length; a property test holds the two together.
    """
    match condition:
        case Test(attribute, ("known" | "unknown") as operator, _):
            return lambda facts: (attribute in facts) == (operator == "known")
        case Test(attribute, _, _):
            return lambda facts: passes(condition, fact.value) if (fact := facts.get(attribute)) is not None else None
        case Not(member):
            inner = decider(member)
            return lambda facts: None if (held := inner(facts)) is None else not held
        case All(members):
            return _decided(tuple(map(decider, members)), decisive=False)
        case Any(members):
            return _decided(tuple(map(decider, members)), decisive=True)


def _decided(members: tuple[Callable[[Facts], bool | None], ...], decisive: bool) -> Callable[[Facts], bool | None]:
    """One decisive member settles the whole; else one that is unknown leaves it unknown."""

    def decide(facts: Facts) -> bool | None:
        outcome: bool | None = not decisive
        for member in members:
            held = member(facts)
            if held is decisive:
                return decisive
            if held is None:
                outcome = None
        return outcome

    return decide


_OPPOSITE = {Outcome.HOLDS: Outcome.FAILS, Outcome.FAILS: Outcome.HOLDS, Outcome.UNKNOWN: Outcome.UNKNOWN}


def _evaluate_test(test: Test, facts: Facts) -> Evaluation:
    fact = facts.get(test.attribute)
    if test.operator in ("known", "unknown"):
        holds = (fact is not None) == (test.operator == "known")
        direct = fact is None or fact.direct
        return Evaluation(Outcome.HOLDS if holds else Outcome.FAILS, Sureness.CERTAIN, (test.attribute,), direct)
    if fact is None:
        return Evaluation(Outcome.UNKNOWN, Sureness.CERTAIN, (test.attribute,))
    holds = passes(test, fact.value)
    return Evaluation(Outcome.HOLDS if holds else Outcome.FAILS, fact.sureness, (test.attribute,), fact.direct)


def passes(test: Test, value: Value) -> bool:
    """Whether a known value passes an ``in`` or ``range`` test; a word never lies in a range."""
    if value == NOT_APPLICABLE:
        return False
    if test.operator == "in":
        return value in test.operand
    if isinstance(value, str):
        return False
    at_least, below = test.operand
    return bool((at_least is None or value >= float(at_least)) and (below is None or value < float(below)))


def _combine(parts: list[Evaluation], decisive: Outcome) -> Evaluation:
    """Combine members of which one decisive outcome settles the whole; the surest deciding member counts."""
    deciding = [part for part in parts if part.outcome is decisive]
    if deciding:
        sureness, direct = max((part.sureness, part.direct) for part in deciding)
        best = [part for part in deciding if part.sureness is sureness and part.direct is direct]
        return Evaluation(decisive, sureness, _rests(best), direct)
    open_parts = [part for part in parts if part.outcome is Outcome.UNKNOWN]
    if open_parts:
        return Evaluation(Outcome.UNKNOWN, Sureness.CERTAIN, _rests(open_parts))
    sureness = min(part.sureness for part in parts)
    return Evaluation(_OPPOSITE[decisive], sureness, _rests(parts), all(part.direct for part in parts))


def _rests(parts: Iterable[Evaluation]) -> tuple[str, ...]:
    return tuple(sorted({name for part in parts for name in part.rests_on}))
