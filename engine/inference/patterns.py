"""Conditions as whole numbers: the form in which a pattern matcher decides them exactly as Python does.

Each attribute becomes a key of our own, each word or number a small whole number, each test an interval of
such numbers. What is not a plain conjunction of tests on different attributes is left to Python.

- A word's number is its place among the words that are asked for; other words have none.
- A number's is its place among the bounds that are asked for: 2i + 1 on the i-th bound, 2i + 2 above it and
  below the next. So comparisons are Python's own, whatever the size, the exponent or the locale.
- A test of several words becomes one pattern for each word; a fact has one value, so it meets one at most.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from engine.inference.conditions import All, Condition, Test
from engine.inference.facts import NOT_APPLICABLE, Facts, Value

MAXIMUM_PATTERNS = 15
"""Patterns of one rule; the library takes 16 and fails at run time on more."""

MAXIMUM_ALTERNATIVES = 8
"""Pattern rules made of one rule for its tests of several words; beyond that Python decides such a test."""


class Pattern(NamedTuple):
    """One fact that a rule needs: its key, and the whole numbers, least and most, between which its value lies."""

    key: str
    least: int | None
    most: int | None

    def definition(self) -> dict[str, object]:
        """The pattern in the library's notation."""
        if self.least == self.most:
            return {self.key: self.least}
        bounds = {"$gte": self.least, "$lte": self.most}
        tests: list[dict[str, object]] = [{name: {self.key: n}} for name, n in bounds.items() if n is not None]
        return tests[0] if len(tests) == 1 else {"$and": tests}


class Encoding:
    """Keys for the attributes of some ``in`` and ``range`` tests, and numbers for the values they ask for.

    Words and numbers of one attribute have a key each, so that every key holds values of one kind.
    """

    def __init__(self, tests: Sequence[Test]) -> None:
        asked: dict[str, set[Value]] = {}
        for test in tests:
            asked.setdefault(test.attribute, set()).update(value for value in test.operand if value is not None)
        self._words: dict[str, tuple[str, dict[str, int]]] = {}
        self._bounds: dict[str, tuple[str, list[float]]] = {}
        for number, (attribute, values) in enumerate(sorted(asked.items())):
            words = sorted(value for value in values if isinstance(value, str))
            self._words[attribute] = (f"w{number}", {word: place for place, word in enumerate(words)})
            self._bounds[attribute] = (f"n{number}", sorted(v for v in values if not isinstance(v, str)))

    def numbers(self, facts: Facts) -> dict[str, int]:
        """The facts about which the tests ask, as keys with whole numbers."""
        numbers = {}
        for attribute, fact in facts.items():
            asked = self._words.get(attribute)
            if asked is None:
                continue
            if not isinstance(fact.value, str):
                key, bounds = self._bounds[attribute]
                numbers[key] = _place(bounds, fact.value)
            elif fact.value in asked[1]:
                numbers[asked[0]] = asked[1][fact.value]
        return numbers

    def patterns(self, test: Test) -> Iterator[Pattern]:
        """The patterns of which one is met when the test holds, and none when it does not."""
        number_key, bounds = self._bounds[test.attribute]
        if test.operator == "range":
            at_least, below = test.operand
            least = None if at_least is None else _place(bounds, float(at_least))
            yield Pattern(number_key, least, None if below is None else _place(bounds, float(below)) - 1)
            return
        word_key, words = self._words[test.attribute]
        for value in dict.fromkeys(test.operand):
            if isinstance(value, str):
                yield Pattern(word_key, words[value], words[value])
            elif value is not None:
                yield Pattern(number_key, place := _place(bounds, value), place)


def _place(bounds: Sequence[float], value: float) -> int:
    return bisect_left(bounds, value) + bisect_right(bounds, value)


def part(when: Condition) -> tuple[list[Test], Condition | None]:
    """The tests that the library decides, and the rest of the conjunction, which Python decides."""
    plain: list[Test] = []
    rest: list[Condition] = []
    alternatives = 1
    for member in _conjuncts(when):
        if (
            isinstance(member, Test)
            and member.operator in ("in", "range")
            and NOT_APPLICABLE not in member.operand
            and any(value is not None for value in member.operand)
            and member.attribute not in {test.attribute for test in plain}
            and len(plain) < MAXIMUM_PATTERNS - 1
            and alternatives * (count := len(set(member.operand)) if member.operator == "in" else 1)
            <= MAXIMUM_ALTERNATIVES
        ):
            plain.append(member)
            alternatives *= count
        else:
            rest.append(member)
    return plain, All(tuple(rest)) if rest else None


def _conjuncts(condition: Condition) -> Iterator[Condition]:
    if isinstance(condition, All):
        for member in condition.members:
            yield from _conjuncts(member)
    else:
        yield condition
