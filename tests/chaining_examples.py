"""Random rules and facts for the chainer: awkward names, words and numbers on purpose."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from engine.inference.conditions import All, Any, Condition, Not, Test, tests
from engine.inference.facts import NOT_APPLICABLE, Fact, Facts, Sureness, Value
from engine.inference.rules import ChainConclusion, ChainRule

NAMES = (
    "tide-line",
    "belief.x",
    "id",
    "sid",
    "$s",
    "~first",
    "Größe",
    'say "x"',
    "back\\slash",
    "a b",
    "ø",
    "w0",
    "d1",
)
WORDS = ("yes", "no", "a", "ab", "", "5", "5.0", "true", "None", 'q"q', "b\\b", "n\nn", "é", "e\u0301", "x" * 300, "\0")
NUMBERS = (0.0, -0.0, 5.0, 0.1 + 0.2, 0.3, 1e-05, 1e16, 1e22, -1e22, 1.5e-300, 5e-324, 1.7e308, 65536.0, 3, -7.25)
STATES = (("absent", "present"), ("none", "slight", "strong"))


def random_rules(rng: random.Random) -> tuple[ChainRule, ...]:
    """Up to 40 rules without cycles, over up to 20 attributes and 8 findings, in random order."""
    attributes = {name: rng.choice("wwnm") for name in rng.sample(NAMES, rng.randint(2, len(NAMES)))}
    attributes |= {f"a-{i}": rng.choice("wwnm") for i in range(rng.randint(0, 7))}
    words = rng.sample(WORDS, rng.randint(2, len(WORDS)))
    findings = [(f"finding-{i}", rng.choice(STATES)) for i in range(rng.randint(1, 8))]
    rules = []
    for number in range(rng.randint(1, 40)):
        rank = rng.randrange(len(findings) + 1)
        kinds = attributes | dict(findings[:rank])
        when = _condition(rng, kinds, words, depth=rng.choice((1, 1, 1, 2, 3)))
        conclusions = [_conclusion(rng, findings[rank:], findings) for _ in range(rng.choice((1, 1, 1, 2, 3)))]
        rules.append(ChainRule(f"rule-{number:02}", when, tuple(conclusions), rng.choice((0, 0, 0, -1, 1, 70000))))
    rng.shuffle(rules)
    return tuple(rules)


def _condition(rng: random.Random, kinds: dict[str, object], words: Sequence[str], depth: int) -> Condition:
    shape = rng.random()
    if shape < 0.45 or depth == 0:
        names = rng.sample(sorted(kinds), min(len(kinds), rng.choice((1, 1, 2, 2, 3, 4))))
        chosen = [_test(rng, name, kinds[name], words) for name in names]
        return chosen[0] if len(chosen) == 1 else All(tuple(chosen))
    members = tuple(_condition(rng, kinds, words, depth - 1) for _ in range(rng.randint(1, 3)))
    return All(members) if shape < 0.65 else Any(members) if shape < 0.85 else Not(members[0])


def _test(rng: random.Random, name: str, kind: object, words: Sequence[str]) -> Test:
    if rng.random() < 0.08:
        return Test(name, rng.choice(("known", "unknown")))
    if isinstance(kind, tuple):
        return Test(name, "in", tuple(rng.sample(kind, rng.choice((1, 1, 2)))))
    if kind == "n" or (kind == "m" and rng.random() < 0.5):
        if rng.random() < 0.2:
            return Test(name, "in", (rng.choice(NUMBERS),))
        low, high = sorted(rng.sample(NUMBERS, 2))
        return Test(name, "range", rng.choice(((low, None), (None, high), (low, high), (high, low))))
    chosen = rng.sample(words, min(len(words), rng.choice((1, 1, 1, 2, 3, 9))))
    return Test(name, "in", tuple(chosen) + rng.choice(((), (), (), (NOT_APPLICABLE,))))


def _conclusion(
    rng: random.Random, allowed: Sequence[tuple[str, tuple[str, ...]]], every: Sequence[tuple[str, tuple[str, ...]]]
) -> ChainConclusion:
    sureness = rng.choice((*Sureness, Sureness.CERTAIN))
    if allowed and rng.random() < 0.75:
        finding, states = rng.choice(allowed)
        return ChainConclusion("finding", finding, rng.choice((states[-1], states[-1], rng.choice(states))), sureness)
    if rng.random() < 0.3:
        return ChainConclusion("doubt", rng.choice(every)[0], rng.choice(list(Sureness)).word, sureness)
    return ChainConclusion(rng.choice(("leaning", "exclude", "step")), "target", "strength", sureness)


def random_facts(rng: random.Random, rules: Sequence[ChainRule]) -> Facts:
    """Facts about most of the attributes that the rules ask for, at, beside and away from the values they name."""
    asked: dict[str, set[Value]] = {}
    for rule in rules:
        for test in tests(rule.when):
            asked.setdefault(test.attribute, set()).update(value for value in test.operand if value is not None)
    concluded = {finding for rule in rules for finding in rule.concludes()}
    share = rng.choice((0.2, 0.6, 0.9, 1.0))
    names = [name for name in sorted(asked) if name not in concluded and rng.random() < share]
    rng.shuffle(names)
    return {name: _fact(rng, name, sorted(asked[name], key=repr)) for name in names}


def _fact(rng: random.Random, name: str, asked: Sequence[Value]) -> Fact:
    value: Value = rng.choice(asked) if asked and rng.random() < 0.8 else rng.choice((*WORDS, *NUMBERS, NOT_APPLICABLE))
    if not isinstance(value, str) and rng.random() < 0.4:
        value = math.nextafter(value, rng.choice((-math.inf, math.inf)))
        value = value if math.isfinite(value) else 0
    return Fact(name, value, rng.choice(list(Sureness)), rng.random() < 0.7, f"seen {rng.randrange(9)}")
