"""The one file that touches durable_rules: a layer of rules compiled to its patterns, run, and read back.

durable_rules 2.0.28 is quick and unsafe: much ordinary input crashes it, hangs it or is matched wrongly. So
nothing that a person wrote ever reaches it. Each attribute becomes a key of our own, each word or number a
small whole number, each test an interval of such numbers, and Python decides beforehand whatever is not a
plain conjunction of tests on different attributes, and asserts that as one more fact for the rule.

- A word's number is its place among the words that the layer asks for; other words are not asserted at all.
- A number's is its place among the bounds that the layer asks for: 2i + 1 on the i-th bound, 2i + 2 above it
  and below the next. So comparisons are Python's own, whatever the size, the exponent or the locale.
- A test of several words becomes one pattern rule for each word; a fact has one value, so one of them fires.
- A layer is split over as many rulesets as the limits of the library ask for.

Importing this module raises ImportError where the library is missing or does not load.
"""

from __future__ import annotations

import itertools
import json
import re
import threading
import weakref
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import durable_rules_engine

from engine.inference.conditions import All, Condition, Outcome, Test, evaluate
from engine.inference.facts import NOT_APPLICABLE, Facts, Value
from engine.inference.rules import ChainRule

MAXIMUM_PATTERNS = 15
"""Patterns of one rule; the library takes 16 and fails at run time on more."""

MAXIMUM_ALTERNATIVES = 8
"""Pattern rules made of one rule for its tests of several words; beyond that Python decides such a test."""

MAXIMUM_TESTS = 500
"""Distinct tests in one ruleset; at 512 every fact fails, beyond that loading never ends."""

MAXIMUM_SHARERS = 250
"""Pattern rules that share one test; the 256th crashes."""

MAXIMUM_TESTS_OF_A_KEY = 60
"""Distinct tests of one key; a fact that satisfies more than 64 fails."""

_NAME = re.compile("[a-z0-9.]+")
_MARKS = ("~first", "~last")
_TAKEN = ("id", "sid", "$s", *_MARKS)


class LimitError(ValueError):
    """A ruleset that durable_rules cannot take."""


@dataclass(frozen=True, slots=True)
class Pattern:
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


@dataclass
class _Budget:
    """How much of the library's limits some pattern rules use."""

    sharers: Counter[Pattern] = field(default_factory=Counter)
    of_key: Counter[str] = field(default_factory=Counter)

    def excess(self, patterns: Sequence[Pattern]) -> str:
        """Why a rule with these patterns may not join; empty when it may."""
        new = {pattern for pattern in patterns if pattern not in self.sharers}
        keys = {pattern.key for pattern in patterns}
        if not patterns or len(keys) < len(patterns) or len(patterns) > MAXIMUM_PATTERNS:
            return f"a rule has 1 to {MAXIMUM_PATTERNS} patterns, each with a key of its own"
        if any(pattern.least is None and pattern.most is None for pattern in patterns):
            return "a pattern has at least one bound"
        if len(self.sharers) + len(new) > MAXIMUM_TESTS:
            return f"a ruleset has at most {MAXIMUM_TESTS} distinct tests"
        if any(self.sharers[pattern] >= MAXIMUM_SHARERS for pattern in patterns):
            return f"at most {MAXIMUM_SHARERS} rules share one test"
        if any(self.of_key[pattern.key] >= MAXIMUM_TESTS_OF_A_KEY for pattern in new):
            return f"a key has at most {MAXIMUM_TESTS_OF_A_KEY} distinct tests"
        return ""

    def add(self, patterns: Sequence[Pattern]) -> None:
        """Count a rule's patterns."""
        self.of_key.update(pattern.key for pattern in patterns if pattern not in self.sharers)
        self.sharers.update(patterns)


def hash_of_key(key: str) -> int:
    """The 32-bit number by which the library tells keys and ids apart: FNV-1a of their bytes; for ASCII text."""
    number = 0x811C9DC5
    for byte in key.encode("ascii"):
        number = ((number ^ byte) * 0x01000193) & 0xFFFFFFFF
    return number


class Ruleset:
    """Pattern rules loaded into the library; one session at a time, each ended before the next begins.

    Raises LimitError, naming the rule or keys, for what the library would crash, hang or err on.
    """

    def __init__(self, rules: Mapping[str, Sequence[Pattern]]) -> None:
        budget = _Budget()
        for name, patterns in rules.items():
            if excess := budget.excess(patterns):
                raise LimitError(f"{name}: {excess}")
            budget.add(patterns)
        self.keys = frozenset(budget.of_key)
        for name in (*rules, *self.keys):
            if not _NAME.fullmatch(name):
                raise LimitError(f"a name is of small letters, digits and stops, not {name!r}")
        hashes: dict[int, str] = {}
        for key in (*_TAKEN, *sorted(self.keys)):
            if (number := hash_of_key(key)) in hashes:
                raise LimitError(f"durable_rules cannot tell the keys {hashes[number]!r} and {key!r} apart")
            hashes[number] = key
        definitions: dict[str, object] = {mark: {"all": [{"m": {mark: 1}}]} for mark in _MARKS}
        for name, patterns in rules.items():
            definitions[name] = {"all": [{f"m{i}": pattern.definition()} for i, pattern in enumerate(patterns)]}
        self._definitions = json.dumps(definitions)
        self._lock = threading.Lock()
        self._load()

    def _load(self) -> None:
        handle = durable_rules_engine.create_ruleset("layer", self._definitions)
        self._unload = weakref.finalize(self, durable_rules_engine.delete_ruleset, handle)
        self._unload.atexit = False
        self._handle = handle

    def fired(self, facts: Mapping[str, int]) -> list[str]:
        """The names of the rules whose patterns these facts meet, in the library's order; other keys are passed over.

        The first and the last fact of the batch are marks, each with a rule of its own. That rules always fire
        makes the session safe to delete; that the last one did shows that the library read the whole batch.
        """
        marked = {_MARKS[0]: 1, **{key: facts[key] for key in sorted(self.keys & facts.keys())}, _MARKS[1]: 1}
        batch = json.dumps([{key: value, "id": key, "sid": "s"} for key, value in marked.items()])
        with self._lock:
            names = self._session(batch)
        if not {*_MARKS} <= {*names}:
            raise RuntimeError("durable_rules did not read all the facts that it was given")
        return [name for name in names if name not in _MARKS]

    def _session(self, batch: str) -> list[str]:
        started, names = False, []
        try:
            code, state = durable_rules_engine.assert_facts(self._handle, batch)
            if code not in (0, 1, 2):
                raise RuntimeError(f"durable_rules put the facts off (code {code})")
            first = durable_rules_engine.start_action_for_state(self._handle, state)
            started = first is not None
            message = first[1] if first else None
            while message:
                names.append(message[2 : message.index('"', 2)])
                message = durable_rules_engine.complete_and_start_action(self._handle, state)
        finally:
            if started:
                durable_rules_engine.delete_state(self._handle, "s")
            else:
                self._unload()
                self._load()
        return names


class DurableMatcher:
    """The rules of one layer, decided by durable_rules."""

    def __init__(self, rules: Sequence[ChainRule]) -> None:
        parted = {rule.id: _part(rule.when) for rule in rules}
        self._encoding = _Encoding([test for plain, _ in parted.values() for test in plain])
        self._decided: dict[str, Condition] = {}
        self._rule_of: dict[str, str] = {}
        named: dict[str, tuple[Pattern, ...]] = {}
        for number, (rule, (plain, rest)) in enumerate(parted.items()):
            further: tuple[Pattern, ...] = ()
            if rest is not None:
                self._decided[f"d{number}"] = rest
                further = (Pattern(f"d{number}", 1, 1),)
            choices = [self._encoding.patterns(test) for test in plain]
            for alternative, patterns in enumerate(itertools.product(*choices)):
                name = f"r{number}.{alternative}"
                named[name] = (*patterns, *further)
                self._rule_of[name] = rule
        self._rulesets = tuple(Ruleset(part) for part in _split(named))

    def holding(self, facts: Facts) -> Collection[str]:
        """The ids of the rules whose condition holds over the facts."""
        numbers = self._encoding.numbers(facts)
        for key, condition in self._decided.items():
            if evaluate(condition, facts).outcome is Outcome.HOLDS:
                numbers[key] = 1
        return {self._rule_of[name] for ruleset in self._rulesets for name in ruleset.fired(numbers)}


class _Encoding:
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
        for attribute, (key, words) in self._words.items():
            fact = facts.get(attribute)
            if fact is None or fact.value == NOT_APPLICABLE:
                continue
            if not isinstance(fact.value, str):
                key, bounds = self._bounds[attribute]
                numbers[key] = _place(bounds, fact.value)
            elif fact.value in words:
                numbers[key] = words[fact.value]
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


def _part(when: Condition) -> tuple[list[Test], Condition | None]:
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


def _split(rules: Mapping[str, tuple[Pattern, ...]]) -> list[dict[str, tuple[Pattern, ...]]]:
    """The rules in their order, over as few rulesets as the limits allow."""
    parts: list[dict[str, tuple[Pattern, ...]]] = []
    budget = _Budget()
    for name, patterns in rules.items():
        if not parts or budget.excess(patterns):
            parts.append({})
            budget = _Budget()
        parts[-1][name] = patterns
        budget.add(patterns)
    return parts
