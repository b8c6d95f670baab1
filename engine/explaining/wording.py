"""Facts, findings, tests and numbers as a surveyor would say them; every record with its title and its id."""

from __future__ import annotations

import math

from engine.inference.conditions import Test
from engine.inference.facts import NOT_APPLICABLE, Fact, Value
from engine.inference.near_misses import Lack
from engine.opinion.words import about, belief_words
from engine.rulebook import Rulebook
from engine.rulebook.compiling import strength_levels
from engine.rulebook.telling import attribute_title, named

LEAST_SAID = 0.5
"""A weight of evidence under this [dB] rounds to nothing and is left unsaid."""


def believed(rulebook: Rulebook, probability: float) -> str:
    """A probability in words and to the nearest five percent: `likely (about 85 %)`."""
    return f"{belief_words(probability, rulebook.numbers)} ({about(probability)})"


def share(part: float) -> str:
    """A share of re-weighings, in whole percent; only all is called all, and only none none."""
    if part in (0.0, 1.0):
        return "all" if part else "none"
    return f"{min(max(round(100 * part), 1), 99)} %"


def weight(decibans: float) -> str:
    """A weight of evidence, signed and whole, a weight without bounds in words."""
    if not math.isfinite(decibans):
        return "beyond weighing"
    return f"{decibans:+.0f} dB" if round(decibans) else "0 dB"


def sentence(text: str) -> str:
    """The text as a sentence: first letter large, full stop at the end."""
    body = text[:1].upper() + text[1:]
    return body if body.endswith((".", "?", "!", ":")) else f"{body}."


def value_words(rulebook: Rulebook, attribute: str, value: Value) -> str:
    """A value as it reads: the choice's title, yes or no, or a number of three figures with its unit."""
    record = rulebook.attributes.get(attribute)
    if isinstance(value, (int, float)):
        figures = f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"
        unit = record.unit if record else None
        return f"{figures} {unit}" if unit else figures
    if value == NOT_APPLICABLE:
        return "not applicable"
    choices = record.choices if record else ()
    return next((choice.title for choice in choices if choice.id == value), str(value).replace("-", " "))


def fact_words(rulebook: Rulebook, fact: Fact) -> str:
    """A fact with where it comes from and any doubt: `tide line seen: yes (seen, back room)`."""
    doubt = "" if fact.sureness.word == "certain" else f", {fact.sureness.word.replace('-', ' ')}"
    origin = f" ({fact.origin}{doubt})" if fact.origin and fact.attribute not in rulebook.findings else ""
    said = value_words(rulebook, fact.attribute, fact.value)
    return f"{attribute_title(rulebook, fact.attribute)}: {said}{origin}"


def finding_words(rulebook: Rulebook, finding: str, state: str) -> str:
    """A finding in a state, with its id: `no tide line` reads `absence of: tide line`."""
    title = named(rulebook, finding)
    if state in ("absent", "none"):
        return f"not found: {title}"
    return title if state == "present" else f"{title}, {state}"


def met_words(rulebook: Rulebook, finding: str, cause: str) -> str:
    """How often a finding is met with a cause alone and with none, in the words of its record; empty if not stated."""
    level = strength_levels(rulebook.findings[finding])[0]
    if cause not in level.makes:
        return ""
    often, background = level.makes[cause].replace("-", " "), level.background.replace("-", " ")
    return f"With this cause alone it is met {often}; with none of the listed causes {background}"


def test_words(rulebook: Rulebook, test: Test, *, wanted: bool) -> str:
    """What a value would have to be to pass a test (or, not ``wanted``, to fail it): `at least 5 mm`, `yes`."""
    if test.operator in ("known", "unknown"):
        return "known" if (test.operator == "known") == wanted else "not known"
    if test.operator == "in":
        said = " or ".join(value_words(rulebook, test.attribute, v) for v in test.operand if v is not None)
        return said if wanted else f"other than {said}"
    low, high = test.operand
    unit = getattr(rulebook.attributes.get(test.attribute), "unit", None)
    bounds = []
    for word, bound in (("at least", low), ("below", high)):
        if bound is not None:
            bounds.append(f"{word} {bound:g}" if isinstance(bound, float) else f"{word} {bound}")
    said = f"{' and '.join(bounds)}{f' {unit}' if unit else ''}"
    return said if wanted else f"not {said}"


def lack_words(rulebook: Rulebook, lack: Lack) -> str:
    """What stands between a rule and firing: what was found, and what it would have to be."""
    title = attribute_title(rulebook, lack.test.attribute)
    wanted = test_words(rulebook, lack.test, wanted=lack.wanted)
    if lack.found is None:
        return f"{title} is not known; it would have to be {wanted}"
    return f"{title} is {value_words(rulebook, lack.test.attribute, lack.found)}; it would have to be {wanted}"
