"""Forward chaining: rules over facts conclude findings, in layers, with a trace of every firing.

A rule runs in a layer after every rule that concludes a finding it tests. A finding is settled when the
last rule that may conclude it has run, and only then becomes a fact: of several rules that agree the surest
counts; rules that disagree leave it *contested* and without a fact. Conclusions of other kinds are reported
in the trace and become nothing more; a *doubt* lowers a finding's sureness after all layers, for those who
weigh it, and so creates no dependency.

Two back-ends decide which rules of a layer hold: ``durable`` (durable_rules, see `engine.inference.durable`)
and ``python`` (`engine.inference.conditions`). Everything else is done here, once, so that both give the
same result to the byte.
"""

from __future__ import annotations

import importlib
import math
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal, NamedTuple, Protocol

from engine.inference.conditions import Outcome, decider, evaluate, required, tests
from engine.inference.facts import Fact, Facts, Sureness
from engine.inference.rules import ChainConclusion, ChainRule, CycleError, Waiting, find_cycle, layers

__all__ = [
    "Chain",
    "ChainConclusion",
    "ChainResult",
    "ChainRule",
    "CycleError",
    "Firing",
    "available_backend",
    "find_cycle",
    "layers",
]

GRADED_STATES = ("slight", "strong")
"""States of a graded finding that do not contradict each other, weaker first."""

SURENESS_WORDS = tuple(sureness.word for sureness in Sureness)


@dataclass(frozen=True, slots=True)
class Firing:
    """A rule that held: in which layer, how sure its condition was, on which facts it rests, sorted by attribute.

    ``direct`` is true when it rests on at least one fact and on none that was only told or inferred. Each of
    ``conclusions`` is already no surer than the condition.
    """

    rule: str
    layer: int
    sureness: Sureness
    direct: bool
    matched: tuple[Fact, ...]
    conclusions: tuple[ChainConclusion, ...]


@dataclass(frozen=True, slots=True)
class ChainResult:
    """What chaining comes to.

    ``firings`` in the order layer, priority, specificity, id; ``facts`` the given ones and the settled
    findings, by attribute; ``contested`` the findings without a fact because rules disagree, with each
    (state, rule); ``doubts`` for each doubted finding each (rule, sureness to which it is lowered).
    """

    firings: tuple[Firing, ...]
    facts: dict[str, Fact]
    contested: dict[str, tuple[tuple[str, str], ...]]
    doubts: dict[str, tuple[tuple[str, Sureness], ...]]


class Matcher(Protocol):
    """A back-end's form of the rules of one layer."""

    def holding(self, facts: Facts) -> Collection[str]:
        """The ids of the rules whose condition holds over the facts."""


class PythonMatcher:
    """The rules of a layer, decided by evaluating each condition."""

    def __init__(self, rules: Sequence[ChainRule]) -> None:
        self._rules = Waiting((required(rule.when), (rule.id, decider(rule.when))) for rule in rules)

    def holding(self, facts: Facts) -> Collection[str]:
        """The ids of the rules whose condition holds over the facts."""
        return {rule for rule, decide in self._rules.ready(facts) if decide(facts)}


@cache
def available_backend() -> Literal["durable", "python"]:
    """The back-end that ``auto`` takes here: ``durable`` where durable_rules can be imported, else ``python``."""
    try:
        importlib.import_module("engine.inference.durable")
    except ImportError:
        return "python"
    return "durable"


class Chain:
    """Rules made ready to run over many sets of facts; safe to use from several threads.

    ``backend`` is ``auto``, ``durable`` or ``python``. Raises ValueError with every fault of the rules
    (an id used twice, a parameter's name still unbound, a doubt that names no sureness), CycleError for
    rules that wait for each other, and ImportError where ``durable`` is asked for and cannot be imported.
    """

    def __init__(self, rules: Iterable[ChainRule], backend: str = "auto") -> None:
        rules = tuple(rules)
        faults = [fault for rule in rules for fault in _faults(rule)]
        uses = Counter(rule.id for rule in rules)
        faults += [f"{rule}: {count} rules have this id" for rule, count in uses.items() if count > 1]
        if backend not in ("auto", "durable", "python"):
            faults.append(f"the back-end is auto, durable or python, not {backend!r}")
        if faults:
            raise ValueError("\n".join(sorted(faults)))
        self._layers = layers(rules)
        self._last = {
            finding: number
            for number, layer in enumerate(self._layers)
            for rule in layer
            for finding in rule.concludes()
        }
        self._match_with(available_backend() if backend == "auto" else backend)

    def _match_with(self, backend: str) -> None:
        self.backend = backend
        make = _durable_matcher if backend == "durable" else PythonMatcher
        self._matchers: tuple[Matcher, ...] = tuple(make(layer) for layer in self._layers)

    def in_python(self) -> Chain:
        """The same rules on the back-end ``python``; this very chain where it runs on that already."""
        if self.backend == "python":
            return self
        chain = copy(self)
        chain._match_with("python")
        return chain

    def run(self, facts: Facts) -> ChainResult:
        """Every rule that holds over the facts and over the findings concluded from them.

        A finding that the rules conclude may not be given as a fact. Raises ValueError with every fault.
        """
        self._check(facts)
        known = dict(facts)
        firings: list[Firing] = []
        voices: dict[str, list[_Voice]] = {}
        contested: dict[str, tuple[tuple[str, str], ...]] = {}
        for number, (layer, matcher) in enumerate(zip(self._layers, self._matchers, strict=True)):
            holding = matcher.holding(known)
            fired = [_fire(rule, number, known) for rule in layer if rule.id in holding]
            firings += fired
            for firing in fired:
                for conclusion in firing.conclusions:
                    if conclusion.kind == "finding":
                        voice = _Voice(conclusion.sureness, firing.direct, conclusion.value, firing.rule)
                        voices.setdefault(conclusion.target, []).append(voice)
            for finding in [finding for finding in voices if self._last[finding] == number]:
                settled = _settle(finding, voices.pop(finding))
                if isinstance(settled, Fact):
                    known[finding] = settled
                else:
                    contested[finding] = settled
        return ChainResult(
            tuple(firings), dict(sorted(known.items())), dict(sorted(contested.items())), _doubts(firings)
        )

    def _check(self, facts: Facts) -> None:
        """Refuse facts that no back-end could take in the same way."""
        faults = []
        for name, fact in facts.items():
            value = fact.value
            if name == fact.attribute and type(value) is str and name not in self._last:
                continue
            if name != fact.attribute:
                faults.append(f"{name}: stands for the fact of another attribute, {fact.attribute}")
            if name in self._last:
                faults.append(f"{name}: is concluded by rules and cannot be given as a fact")
            if isinstance(value, bool) or not isinstance(value, (str, int, float)):
                faults.append(f"{name}: a value is a word or a number, not {value!r}")
            elif isinstance(value, float) and not math.isfinite(value):
                faults.append(f"{name}: a number is finite, not {value!r}")
        if faults:
            raise ValueError("\n".join(sorted(faults)))


class _Voice(NamedTuple):
    """One firing's word on one finding; the larger, the surer."""

    sureness: Sureness
    direct: bool
    state: str
    rule: str


def _durable_matcher(rules: Sequence[ChainRule]) -> Matcher:
    try:
        durable = importlib.import_module("engine.inference.durable")
    except ImportError as error:
        raise ImportError(
            f"durable_rules cannot be imported here ({error}): install the extra 'durable', or chain with the"
            " back-end 'python', which gives the same results"
        ) from error
    matcher: Matcher = durable.DurableMatcher(rules)
    return matcher


def _faults(rule: ChainRule) -> list[str]:
    """What makes a rule unfit to run."""
    unbound = {bound for test in tests(rule.when) if test.operator == "range" for bound in test.operand}
    faults = [f"{rule.id}: the parameter {name} has no number" for name in unbound if isinstance(name, str)]
    for conclusion in rule.conclusions:
        if conclusion.kind == "doubt" and conclusion.value not in SURENESS_WORDS:
            faults.append(f"{rule.id}: a doubt lowers to one of {', '.join(SURENESS_WORDS)}, not {conclusion.value!r}")
    return faults


def _fire(rule: ChainRule, layer: int, facts: Facts) -> Firing:
    evaluation = evaluate(rule.when, facts)
    if evaluation.outcome is not Outcome.HOLDS:
        raise RuntimeError(f"{rule.id}: the back-end lets it fire although its condition {evaluation.outcome.value}")
    matched = tuple(facts[name] for name in evaluation.rests_on if name in facts)
    conclusions = tuple(
        c if c.sureness <= evaluation.sureness else replace(c, sureness=evaluation.sureness) for c in rule.conclusions
    )
    return Firing(rule.id, layer, evaluation.sureness, bool(matched) and evaluation.direct, matched, conclusions)


def _settle(finding: str, voices: Sequence[_Voice]) -> Fact | tuple[tuple[str, str], ...]:
    """The finding as a fact, or each (state, rule) where the rules disagree."""
    states = {voice.state for voice in voices}
    if len(states) > 1 and states != set(GRADED_STATES):
        return tuple(sorted({(voice.state, voice.rule) for voice in voices}))
    surest = max(voice.sureness for voice in voices)
    state = min((voice.state for voice in voices if voice.sureness is surest), key=_grade)
    best = [voice for voice in voices if voice.sureness is surest and voice.state == state]
    direct = any(voice.direct for voice in best)
    rules = sorted(voice.rule for voice in best if voice.direct is direct)
    return Fact(finding, state, surest, direct, f"concluded by {', '.join(rules)}")


def _grade(state: str) -> int:
    return GRADED_STATES.index(state) if state in GRADED_STATES else 0


def _doubts(firings: Iterable[Firing]) -> dict[str, tuple[tuple[str, Sureness], ...]]:
    doubts: dict[str, list[tuple[str, Sureness]]] = {}
    for firing in firings:
        for conclusion in firing.conclusions:
            if conclusion.kind == "doubt":
                doubts.setdefault(conclusion.target, []).append((firing.rule, Sureness.of(conclusion.value)))
    return {finding: tuple(sorted(lowered)) for finding, lowered in sorted(doubts.items())}
