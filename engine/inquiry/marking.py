"""Answers whose questions no longer apply: kept in the case, marked *not applicable* so that they are not weighed.

The mark is a change like any other: the fact says *not applicable*, its note what it was, the journal why. When the
question applies again, the answer is put back as it was.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from engine.case.journal import Entry
from engine.case.models import Area, Case
from engine.inference.facts import Fact, Facts
from engine.inquiry.applying import Applicability, Standing, left_aside

NOT_APPLICABLE = "not-applicable"
_REASON = "no longer applies"


def fallen(applicability: Applicability, case: Case, area: Area, facts: Facts, new: Fact | None) -> tuple[str, ...]:
    """The answers of an area whose questions would no longer apply with a new fact, and those that hang on these.

    ``facts`` are the area's with its findings; ``new`` is None where an answer is taken back, and then nothing falls.
    """
    if new is None:
        return ()
    left = left_aside(case, area)
    already = _not_applying(applicability, facts, left)
    supposed = {**facts, new.attribute: new}
    found: list[str] = []
    while True:
        more = sorted(_not_applying(applicability, supposed, left) - already - {new.attribute, *found})
        if not more:
            return tuple(found)
        found += more
        supposed |= {name: Fact(name, NOT_APPLICABLE) for name in more}


def _not_applying(applicability: Applicability, facts: Facts, left: frozenset[str]) -> set[str]:
    standings = applicability.standings(facts.keys(), facts, left)
    answered = {name for name, fact in facts.items() if fact.value != NOT_APPLICABLE}
    return {name for name in answered & standings.keys() if standings[name] is Standing.NOT_APPLICABLE}


def mark(fact: Mapping[str, Any]) -> dict[str, Any]:
    """A recorded fact, as data, that is marked as no longer applying."""
    said = _was(fact["value"])
    return {**fact, "value": NOT_APPLICABLE, "note": f"{fact['note']}; {said}" if fact.get("note") else said}


def unmarked(fact: Mapping[str, Any], entry: Entry) -> dict[str, Any]:
    """A marked fact as it was before, by the journal's entry of its mark."""
    item = {**fact, "value": entry.old}
    note = str(fact.get("note", "")).removesuffix(_was(entry.old)).removesuffix("; ")
    item.pop("note", None)
    return {**item, "note": note} if note else item


def reason(title: str) -> str:
    """Why an answer is marked, for the journal: the change of which other answer."""
    return f"{_REASON}: {title} was changed"


def marks(entries: tuple[Entry, ...]) -> Iterator[Entry]:
    """Of every fact whose last change was such a mark, that change."""
    last = {(entry.attribute, entry.path): entry for entry in entries}
    return (entry for entry in last.values() if entry.reason.startswith(_REASON))


def _was(value: Any) -> str:
    return f"was {value} while its question applied"
