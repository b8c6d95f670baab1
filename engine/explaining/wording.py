"""Facts, findings, tests and numbers as a surveyor would say them; every record with its title and its id."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from engine.inference.conditions import Test
from engine.inference.facts import NOT_APPLICABLE, Fact, Value
from engine.inference.near_misses import Lack
from engine.opinion.words import about, belief_words
from engine.rulebook import Rulebook
from engine.rulebook.compiling import strength_levels
from engine.rulebook.models import Measure
from engine.rulebook.telling import attribute_title, named

LEAST_SAID = 0.5
"""A weight of evidence under this [dB] rounds to nothing and is left unsaid."""


BARE = ("ratio", "share", "degree of fit")
"""Units that say only what kind of number it is, as its title does."""


def believed(rulebook: Rulebook, probability: float) -> str:
    """A probability in words, and to the nearest five percent that the word allows: `likely (about 85 %)`."""
    word = belief_words(probability, rulebook.numbers)
    fives = (n / 20 for n in range(21) if belief_words(n / 20, rulebook.numbers) == word)
    near = min(fives, key=lambda five: abs(five - probability), default=probability)
    return f"{word} ({about(near if 0.05 <= probability <= 0.95 else probability)})"


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


def clause(text: str) -> str:
    """The text with its first letter large and no full stop, to be carried on."""
    return sentence(text).removesuffix(".")


def value_words(rulebook: Rulebook, attribute: str, value: Value, bounds: Iterable[float] = ()) -> str:
    """A value as it reads: the choice's title, yes or no, or a number with its unit.

    A number that a measure reckons is given to two figures, or to as many as keep it on its side of the ``bounds``; one
    that somebody wrote down is given as written.
    """
    record = rulebook.attributes.get(attribute)
    if isinstance(value, (int, float)):
        reckoned = isinstance(record, Measure)
        return _with_unit(_figures(value, bounds) if reckoned else f"{value:g}", record.unit if record else None)
    if value == NOT_APPLICABLE:
        return "not applicable"
    choices = record.choices if record else ()
    return next((choice.title for choice in choices if choice.id == value), str(value).replace("-", " "))


def _figures(value: float, bounds: Iterable[float]) -> str:
    """A number to two figures, from 100 on to three; to more where these would put it on the other side of a bound."""
    if value.is_integer() and abs(value) < 1000:
        return f"{value:.0f}"
    size = math.floor(math.log10(abs(value)))
    limits = tuple(bounds)
    for places in range(1 - size if size < 2 else 2 - size, 9):
        rounded = round(value, places)
        if all((rounded >= limit) == (value >= limit) for limit in limits):
            return f"{rounded:.{max(places, 0)}f}"
    return repr(value)


def _with_unit(figures: str, unit: str | None) -> str:
    """A number with its unit; `multiples of` something reads `times` that, and a bare ratio as the number alone."""
    return f"{figures} {unit.replace('multiples of', 'times', 1)}" if unit and unit not in BARE else figures


def fact_words(rulebook: Rulebook, fact: Fact, here: str = "") -> str:
    """A fact with where it comes from and any doubt: `tide line seen: yes (seen, back room)`.

    ``here`` is the title of the area that is spoken of, which goes without saying. A finding reads as a finding.
    """
    if fact.attribute in rulebook.findings:
        return finding_words(rulebook, fact.attribute, str(fact.value))
    doubt = "" if fact.sureness.word == "certain" else f", {fact.sureness.word.replace('-', ' ')}"
    origin = fact.origin.removesuffix(f", {here}") if here else fact.origin
    said = value_words(rulebook, fact.attribute, fact.value)
    title = attribute_title(rulebook, fact.attribute)
    return f"{title}: {said} ({origin}{doubt})" if origin else f"{title}: {said}"


def finding_words(rulebook: Rulebook, finding: str, state: str) -> str:
    """A finding in a state, with its id; one that was looked for and is absent reads `not found: tide line`."""
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
    return f"With this cause alone the sign is met {often}, with none of the causes {background}."


def answer_words(rulebook: Rulebook, attribute: str, values: Sequence[Value], was: Value | None) -> str:
    """Answers that a question might have: `tide line seen [tide-line-seen], “yes” instead of “no”`."""
    *others, last = [f"“{value_words(rulebook, attribute, value)}”" for value in values]
    said = f"{', '.join(others)} or {last}" if others else last
    instead = "" if was is None else f" instead of “{value_words(rulebook, attribute, was)}”"
    return f"{named(rulebook, attribute)}, {said}{instead}"


def test_words(rulebook: Rulebook, test: Test, *, wanted: bool) -> str:
    """What a value would have to be to pass a test (or, not ``wanted``, to fail it): `at least 5 mm`, `yes`."""
    if test.operator in ("known", "unknown"):
        return "known" if (test.operator == "known") == wanted else "not known"
    if test.operator == "in":
        said = " or ".join(value_words(rulebook, test.attribute, v) for v in test.operand if v is not None)
        return said if wanted else f"other than {said}"
    low, high = test.operand
    bounds = [
        f"{word} {bound:g}" if isinstance(bound, float) else f"{word} {bound}"
        for word, bound in (("at least", low), ("below", high))
        if bound is not None
    ]
    said = _with_unit(" and ".join(bounds), getattr(rulebook.attributes.get(test.attribute), "unit", None))
    return said if wanted else f"not {said}"


def lack_words(rulebook: Rulebook, lack: Lack) -> str:
    """What stands between a rule and firing: what was found or is not known, and what it would have to be."""
    title = attribute_title(rulebook, lack.test.attribute)
    wanted = test_words(rulebook, lack.test, wanted=lack.wanted)
    if lack.found is None:
        return f"not known: {title}" if wanted == "known" else f"not known: {title}; it would have to be {wanted}"
    bounds = [bound for bound in lack.test.operand if isinstance(bound, float)]
    found = value_words(rulebook, lack.test.attribute, lack.found, bounds)
    return f"{title}: {found}; it would have to be {wanted}"
