"""The one file that touches durable_rules: a layer of rules compiled to its patterns, run, and read back.

durable_rules 2.0.28 is quick and unsafe: much ordinary input crashes it, hangs it or is matched wrongly. So
nothing that a person wrote ever reaches it: only keys, names and small whole numbers of our own (see
`engine.inference.patterns`), as facts of one key each, met by rules that are plain conjunctions. Python
decides beforehand whatever is not, and asserts that as one more fact for the rule. A layer is split over as
many rulesets as the limits of the library ask for. The library chains nothing itself, and none of its
negation, alternatives, arithmetic, events, timers, retraction or callbacks is used.

Importing this module raises ImportError where the library is missing or does not load.
"""

from __future__ import annotations

import itertools
import json
import re
import threading
import weakref
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field

import durable_rules_engine

from engine.inference.conditions import decider, required
from engine.inference.facts import Facts
from engine.inference.patterns import MAXIMUM_PATTERNS, Encoding, Pattern, part
from engine.inference.rules import ChainRule, Waiting

MAXIMUM_TESTS = 500
"""Distinct tests in one ruleset; at 512 every fact fails, beyond that loading never ends."""

MAXIMUM_SHARERS = 250
"""Pattern rules that share one test; the 256th crashes."""

MAXIMUM_TESTS_OF_A_KEY = 60
"""Distinct tests of one key; a fact that satisfies more than 64 fails."""

_LARGEST = 2**31 - 1
_NAME = re.compile("[a-z0-9.]+")
_MARKS = ("~first", "~last")
_TAKEN = ("id", "sid", "$s", *_MARKS)


class LimitError(ValueError):
    """A ruleset that durable_rules cannot take."""


@dataclass
class _Budget:
    """How much of the library's limits some pattern rules use."""

    sharers: Counter[Pattern] = field(default_factory=Counter)
    of_key: Counter[str] = field(default_factory=Counter)

    def excess(self, patterns: Sequence[Pattern]) -> str:
        """Why a rule with these patterns may not join; empty when it may."""
        if (
            not patterns
            or len({pattern.key for pattern in patterns}) < len(patterns)
            or len(patterns) > MAXIMUM_PATTERNS
        ):
            return f"a rule has 1 to {MAXIMUM_PATTERNS} patterns, each with a key of its own"
        new = 0
        for pattern in patterns:
            if pattern.least is None and pattern.most is None:
                return "a pattern has at least one bound"
            if (sharers := self.sharers[pattern]) >= MAXIMUM_SHARERS:
                return f"at most {MAXIMUM_SHARERS} rules share one test"
            if not sharers:
                new += 1
                if self.of_key[pattern.key] >= MAXIMUM_TESTS_OF_A_KEY:
                    return f"a key has at most {MAXIMUM_TESTS_OF_A_KEY} distinct tests"
        if len(self.sharers) + new > MAXIMUM_TESTS:
            return f"a ruleset has at most {MAXIMUM_TESTS} distinct tests"
        return ""

    def add(self, patterns: Sequence[Pattern]) -> None:
        """Count a rule's patterns."""
        for pattern in patterns:
            if pattern not in self.sharers:
                self.of_key[pattern.key] += 1
            self.sharers[pattern] += 1


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
        needed = {frozenset(pattern.key for pattern in patterns) for patterns in rules.values()}
        self._needed = Waiting((keys, keys) for keys in needed)
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
        """The names of the rules whose patterns these facts meet, in the library's order.

        Facts that no rule could use, for want of another that it needs, are passed over, and so are other keys.
        The first and the last fact of the batch are marks, each with a rule of its own. That rules always fire
        makes the session safe to delete; that the last one did shows that the library read the whole batch.
        """
        if odd := {key: value for key, value in facts.items() if type(value) is not int or abs(value) > _LARGEST}:
            raise ValueError(f"a fact's value is a whole number of at most {_LARGEST} in size, not {odd}")
        met = sorted(frozenset[str]().union(*self._needed.ready(facts)))
        if not met:
            return []
        marked = ((_MARKS[0], 1), *((key, facts[key]) for key in met), (_MARKS[1], 1))
        batch = ", ".join([f'{{"{key}": {value}, "id": "{key}", "sid": "s"}}' for key, value in marked])
        with self._lock:
            names = self._session(f"[{batch}]")
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
        parted = [(rule, *part(rule.when)) for rule in rules]
        self._encoding = Encoding([test for _, plain, _ in parted for test in plain])
        decided: list[tuple[frozenset[str], tuple[str, Callable[[Facts], bool | None]]]] = []
        self._rule_of: dict[str, str] = {}
        named: dict[str, tuple[Pattern, ...]] = {}
        for number, (rule, plain, rest) in enumerate(parted):
            further: tuple[Pattern, ...] = ()
            if rest is not None:
                key = f"d{number}"
                decided.append((required(rule.when), (key, decider(rest))))
                further = (Pattern(key, 1, 1),)
            choices = [self._encoding.patterns(test) for test in plain]
            for alternative, patterns in enumerate(itertools.product(*choices)):
                name = f"r{number}.{alternative}"
                named[name] = (*patterns, *further)
                self._rule_of[name] = rule.id
        self._decided = Waiting(decided)
        self._rulesets = tuple(Ruleset(share) for share in _split(named))

    def holding(self, facts: Facts) -> Collection[str]:
        """The ids of the rules whose condition holds over the facts."""
        numbers = self._encoding.numbers(facts)
        for key, decide in self._decided.ready(facts):
            if decide(facts):
                numbers[key] = 1
        return {self._rule_of[name] for ruleset in self._rulesets for name in ruleset.fired(numbers)}


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
