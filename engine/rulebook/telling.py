"""Records as they read: every field in words, conditions and examples spelled out, ids with their titles."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from pydantic import BaseModel

from engine.inference.conditions import All, Condition, Not, Test
from engine.inference.conditions import Any as AnyOf
from engine.rulebook.book import Rulebook
from engine.rulebook.legal import Holiday, TimeLimit
from engine.rulebook.models import (
    Check,
    Choice,
    Citation,
    Conclusion,
    Example,
    Gate,
    Mask,
    Meaning,
    Observation,
    Record,
    Scale,
)

SEEN = {"read": "read", "secondary": "at second hand", "from_memory": "from memory"}
"""How a published source reached us, in words."""
LABELS = {
    "conclude": "concludes",
    "because": "because",
    "misleads": "how it misleads",
    "fires_on": "fires on",
    "silent_on": "must not fire on",
    "applies": "asked when",
    "kind": "what it is",
    "how": "how to look or do it",
    "why": "why it matters",
    "who": "who can",
    "dry_evidence": "dry evidence in the state",
    "irreversible": "cannot be undone",
    "seen": "how it reached us",
    "means": "what results mean",
    "after": "comes after",
    "plain": "in plain words",
    "account": "how it works",
}
"""Fields whose label is not their name."""
_FIRST = {
    "rules": ("when", "conclude", "because", "misleads", "fires_on", "silent_on", "source", "related"),
    "questions": ("prompt", "kind", "choices", "how", "why", "applies"),
    "causes": ("plain", "account", "kind", "mechanism", "gate", "base_rates"),
    "findings": ("note", "observed_by", "masks", "dry_evidence"),
    "steps": ("kind", "purpose", "how", "plain", "parts", "settles", "means"),
}
"""The fields that come first in a kind, as the trade thinks of them; the others follow as written."""
_ELSEWHERE = {"findings": ("background", "makes", "grades")}
"""Fields that a section of their own shows, with more beside them."""
_NAMES = frozenset(
    {"topic", "mechanism", "rival", "step", "parts", "settles", "treats", "after", "members", "related", "reference"}
    | {"bank_holidays"}
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a page and the lines under it."""

    text: str
    under: tuple[Entry, ...] = ()


def fields(rulebook: Rulebook, record: Record) -> tuple[Entry, ...]:
    """The fields of a record that are set, in the trade's order; id and title excepted."""
    kind = rulebook.kind_of(record.id) or ""
    written = [name for name in type(record).model_fields if name not in ("id", "title", *_ELSEWHERE.get(kind, ()))]
    first = [name for name in _FIRST.get(kind, ()) if name in written]
    entries = []
    for name in (*first, *(name for name in written if name not in first)):
        value = getattr(record, name)
        if value is None or value == () or value == {} or value is False or (name == "priority" and value == 0):
            continue
        if isinstance(record, Scale) and name == "words":
            entries.append(Entry("words", tuple(Entry(f"{word}: {number:g}") for word, number in value.items())))
            continue
        entries.append(_labelled(rulebook, LABELS.get(name, name.replace("_", " ")), name, value))
    return tuple(entries)


def _labelled(rulebook: Rulebook, label: str, field: str, value: Any) -> Entry:
    if isinstance(value, (All, AnyOf, Not, Test)):
        (top,) = condition_entries(rulebook, value)
        return Entry(f"{label} {top.text}", top.under) if top.under else Entry(f"{label}: {top.text}")
    if isinstance(value, (tuple, list)):
        told = tuple(_item(rulebook, field, item) for item in value)
        if all(not entry.under for entry in told) and all(isinstance(item, str) for item in value):
            return Entry(f"{label}: {', '.join(entry.text for entry in told)}")
        return Entry(f"{label}:", told)
    if isinstance(value, Mapping):
        keyed_by_ids = field == "base_rates"
        return Entry(f"{label}:", tuple(_pair(rulebook, name, inner, keyed_by_ids) for name, inner in value.items()))
    if field == "seen":
        return Entry(f"{label}: {SEEN[value]}")
    return Entry(f"{label}: {_scalar(rulebook, field, value)}")


def _pair(rulebook: Rulebook, name: str, value: Any, keyed_by_ids: bool) -> Entry:
    title = named(rulebook, name) if keyed_by_ids else name
    return Entry(f"{title}: {_scalar(rulebook, '', value)}")


def _scalar(rulebook: Rulebook, field: str, value: Any) -> str:
    if value is True:
        return "yes"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, date):
        return value.isoformat()
    return named(rulebook, str(value)) if field in _NAMES and str(value) in rulebook.records else str(value)


def _item(rulebook: Rulebook, field: str, item: Any) -> Entry:
    match item:
        case Citation():
            return Entry(cited(rulebook, item))
        case Conclusion():
            return Entry(concluded(rulebook, item))
        case Example():
            facts = "; ".join(f"{attribute_title(rulebook, name)}: {value}" for name, value in item.facts.items())
            return Entry(f"{facts or 'no facts'}{f' ({item.note})' if item.note else ''}")
        case Choice():
            return Entry(f"{item.id}: {item.title}")
        case Gate():
            return Entry(f"against {named(rulebook, item.rival)}:", tuple(_check(rulebook, c) for c in item.checks))
        case Meaning():
            return Entry(f"{item.result}: {item.means}")
        case Observation():
            return _observation(rulebook, item)
        case Mask():
            return _mask(rulebook, item)
        case TimeLimit():
            clause = f" ({item.clause})" if item.clause else ""
            return Entry(f"{item.title}: {item.period()}{clause}. {item.action}")
        case Holiday():
            return Entry(f"{item.on.isoformat()} {item.title}")
        case BaseModel():
            return Entry(str(item))
    return Entry(_scalar(rulebook, field, item))


def _check(rulebook: Rulebook, check: Check) -> Entry:
    condition = condition_entries(rulebook, check.made_when)
    step = Entry(f"made by: {named(rulebook, check.step)}")
    return Entry(check.title, (Entry("made when", condition), step))


def _observation(rulebook: Rulebook, seen: Observation) -> Entry:
    because = f" ({seen.because})" if seen.because else ""
    if seen.states is None:
        return Entry(f"{named(rulebook, seen.attribute)}: yes means present, no means absent{because}")
    states = tuple(Entry(f"{state} when {_test_words(test)}") for state, test in seen.states.items())
    return Entry(f"{named(rulebook, seen.attribute)}{because}", states)


def _test_words(test: Any) -> str:
    if isinstance(test, Mapping):
        if "in" in test:
            return " or ".join(str(word) for word in test["in"])
        return " and ".join(f"{name.replace('_', ' ')} {bound}" for name, bound in test.items())
    return str(test)


def _mask(rulebook: Rulebook, mask: Mask) -> Entry:
    number = rulebook.word("mask", mask.strength)
    by = f" by {named(rulebook, mask.cause)}" if mask.cause is not None else ""
    under = condition_entries(rulebook, mask.when) if mask.when is not None else ()
    return Entry(f"hidden {mask.strength.replace('-', ' ')} ({number:g}){by}: {mask.why}", under)


def concluded(rulebook: Rulebook, conclusion: Conclusion) -> str:
    """A conclusion in words, with the number that a strength stands for."""
    sure = "" if conclusion.sureness == "certain" else f" ({conclusion.sureness.replace('-', ' ')})"
    if conclusion.finding is not None:
        return f"finds {named(rulebook, conclusion.finding)}: {conclusion.state}{sure}"
    if conclusion.leaning is not None:
        word = conclusion.strength or ""
        weight = rulebook.word("leaning", word)
        return f"leans {word.replace('-', ' ')} ({weight:+g} dB): {named(rulebook, conclusion.leaning)}{sure}"
    if conclusion.exclude is not None:
        overturned = f"; overturned by: {conclusion.overturned_by}" if conclusion.overturned_by else ""
        return f"excludes {named(rulebook, conclusion.exclude)}{sure}{overturned}"
    if conclusion.doubt is not None:
        return f"casts doubt on {named(rulebook, conclusion.doubt)}: {conclusion.sureness.replace('-', ' ')} at most"
    if conclusion.void is not None:
        return f"sets the instrument's {conclusion.void} aside{sure}"
    if conclusion.timber is not None:
        return f"timber: {conclusion.timber.replace('-', ' ')}{sure}"
    if conclusion.step is not None:
        return f"calls for {named(rulebook, conclusion.step)}{sure}"
    return f"raises the caution {named(rulebook, conclusion.caution or '')}{sure}"


def cited(rulebook: Rulebook, citation: Citation) -> str:
    """A citation as it reads: title, clause, and how it reached us when it was not read."""
    source = rulebook.sources.get(citation.source)
    if source is None:
        return citation.source
    clause = f", {citation.clause}" if citation.clause else ""
    seen = f" ({SEEN[source.seen]})" if source.seen not in (None, "read") else ""
    return f"{source.title}{clause}{seen}"


def named(rulebook: Rulebook, name: str) -> str:
    """A record as it reads: its title, and its id in brackets; a name without a record as it is."""
    return f"{rulebook.title(name)} [{name}]" if name in rulebook.records else name


def attribute_title(rulebook: Rulebook, attribute: str) -> str:
    """What a condition tests, with its title: a question, measure or finding, or what is known after belief."""
    kind, _, name = attribute.partition(".")
    words = {"belief": "belief in", "leading": "leading:", "open": "still open:", "gate": "gate of"}
    if name in rulebook.causes and kind in words:
        return f"{words[kind]} {named(rulebook, name)}"
    return named(rulebook, attribute)


def condition_entries(rulebook: Rulebook, condition: Condition) -> tuple[Entry, ...]:
    """A condition in words, one line to a test, groups indented."""
    match condition:
        case All(members):
            return (Entry("all of these hold:", _members(rulebook, members)),)
        case AnyOf(members):
            return (Entry("any of these holds:", _members(rulebook, members)),)
        case Not(member):
            return (Entry("this does not hold:", condition_entries(rulebook, member)),)
        case Test():
            return (Entry(_tested(rulebook, condition)),)


def _members(rulebook: Rulebook, members: Iterable[Condition]) -> tuple[Entry, ...]:
    return tuple(entry for member in members for entry in condition_entries(rulebook, member))


def _tested(rulebook: Rulebook, test: Test) -> str:
    title = attribute_title(rulebook, test.attribute)
    if test.operator == "range":
        unit = getattr(rulebook.records.get(test.attribute), "unit", None)
        parts = [
            f"{word} {_bound(rulebook, bound)}"
            for word, bound in zip(("at least", "below"), test.operand, strict=True)
            if bound is not None
        ]
        return f"{title} {' and '.join(parts)}{f' {unit}' if unit else ''}"
    if test.operator == "in":
        return f"{title}: {' or '.join(f'{v:g}' if isinstance(v, float) else str(v) for v in test.operand)}"
    return f"{title} is {test.operator}"


def _bound(rulebook: Rulebook, bound: str | float) -> str:
    if isinstance(bound, str):
        parameter = rulebook.parameters.get(bound)
        return f"{parameter.value:g} [{bound}]" if parameter else bound
    return f"{bound:g}"
