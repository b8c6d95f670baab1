"""What if: a changed copy of an area's answers, weighed again and put beside the opinion as it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.errors import InvalidInput, Problem, nearest
from engine.explaining.answers import SUPPOSED, with_answers
from engine.explaining.subject import Subject, subject_of
from engine.explaining.wording import value_words
from engine.inference.facts import NOT_APPLICABLE, Fact, Value
from engine.opinion.weighing import AreaFacts, gather, judge, weigh_area
from engine.rulebook import Rulebook
from engine.rulebook.models import Attribute

UNKNOWN = "unknown"
POINTS = 0.05
"""By how much a probability must move to be told, unless the cause is open."""


@dataclass(frozen=True, slots=True)
class Changed:
    """One answer that was changed: in words, before and after."""

    attribute: str
    title: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Moved:
    """A cause's probability before and after."""

    cause: str
    title: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class FindingMoved:
    """A finding whose state differs; an empty state means that it is not known."""

    finding: str
    title: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Standing:
    """What is determined, what leads, and why nothing is determined if nothing is."""

    determined: bool
    level: str
    leading: tuple[str, ...]
    why_not: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The opinion as it is beside the opinion with changed answers."""

    changes: tuple[Changed, ...]
    before: Standing
    after: Standing
    causes: tuple[Moved, ...]
    findings: tuple[FindingMoved, ...]


def parse_changes(rulebook: Rulebook, texts: Sequence[str], where: str = "--if") -> dict[str, Value]:
    """Changes written ``attribute=value``, checked against the vocabulary; InvalidInput with every fault.

    ``unknown`` takes an answer away. Findings cannot be supposed, only what they rest on.
    """
    changes: dict[str, Value] = {}
    faults = []
    for text in texts:
        name, sign, value = (part.strip() for part in text.partition("="))
        fault = _fault(rulebook, name, value, where) if sign else _form(text, where)
        if fault is None and name in changes:
            fault = Problem(where, None, name, "it a second time", "each attribute once")
        if fault is not None:
            faults.append(fault)
        else:
            number = rulebook.attributes[name].kind == "number" and value not in (UNKNOWN, NOT_APPLICABLE)
            changes[name] = float(value) if number else value
    if faults:
        raise InvalidInput(faults)
    return changes


def _form(text: str, where: str) -> Problem:
    return Problem(where, None, "", repr(text), "attribute=value, such as tide-line-seen=yes")


def _fault(rulebook: Rulebook, name: str, value: str, where: str) -> Problem | None:
    if name in rulebook.findings:
        seen = ", ".join(seen.attribute for seen in rulebook.findings[name].observed_by)
        advice = f"suppose what it rests on: {seen}" if seen else f"'rules show {name}' names what it rests on"
        return Problem(where, None, name, "a finding, which rules conclude", "questions and measures", advice)
    if name not in rulebook.attributes:
        close = nearest(name, rulebook.attributes)
        return Problem(where, None, name, "the unknown attribute", "the id of a question or measure", "", close)
    attribute = rulebook.attributes[name]
    if value in (UNKNOWN, NOT_APPLICABLE):
        return None
    if attribute.kind == "number":
        return None if _number_fits(attribute, value) else _value_fault(attribute, value, where, _range(attribute))
    words = attribute.words()
    return None if value in words else _value_fault(attribute, value, where, f"one of {', '.join(words)}")


def _value_fault(attribute: Attribute, value: str, where: str, allowed: str) -> Problem:
    close = nearest(value, (*attribute.words(), UNKNOWN, NOT_APPLICABLE))
    allowed = f"{allowed}, or {UNKNOWN}, {NOT_APPLICABLE}"
    return Problem(where, None, attribute.id, repr(value), allowed, "", close)


def _number_fits(attribute: Attribute, value: str) -> bool:
    try:
        number = float(value)
    except ValueError:
        return False
    low, high = attribute.minimum, attribute.maximum
    return abs(number) < float("inf") and (low is None or number >= low) and (high is None or number <= high)


def _range(attribute: Attribute) -> str:
    low = f" from {attribute.minimum:g}" if attribute.minimum is not None else ""
    high = f" up to {attribute.maximum:g}" if attribute.maximum is not None else ""
    return f"a number{low}{high}{f' {attribute.unit}' if attribute.unit else ''}"


def supposed(subject: Subject, changes: Mapping[str, Value]) -> Subject:
    """The same area with changed answers; measures are set beside what was measured. The case is not touched."""
    reasoner, book = subject.reasoner, subject.reasoner.rulebook
    answers = {name: value for name, value in changes.items() if name in book.questions}
    case, area = with_answers(subject.case, subject.area, answers)
    measures = {name: value for name, value in changes.items() if name not in answers}
    if not measures:
        return subject_of(reasoner, case, area, subject.folder)
    known = gather(reasoner, case, area, subject.folder)
    facts = {name: fact for name, fact in known.facts.items() if name not in measures}
    facts |= {name: Fact(name, value, origin=SUPPOSED) for name, value in measures.items() if value != UNKNOWN}
    known = AreaFacts(facts, known.doubts, known.limits, known.voided, known.admission)
    judged, opinion = judge(reasoner, facts), weigh_area(reasoner, area, known)
    return Subject(reasoner, case, area, subject.folder, known, judged, opinion)


def what_if(subject: Subject, changes: Mapping[str, Value]) -> WhatIf:
    """The opinion as it is beside that with changed answers, which `parse_changes` has checked."""
    book, after = subject.reasoner.rulebook, supposed(subject, changes)
    open_at_least = book.parameter("open-at-least")
    was, becomes = subject.causes, after.causes
    moved = [
        Moved(name, was[name].title, was[name].probability, becomes[name].probability)
        for name in was
        if max(was[name].probability, becomes[name].probability) >= open_at_least
        or abs(was[name].probability - becomes[name].probability) >= POINTS
    ]
    states, states_after = _states(subject), _states(after)
    return WhatIf(
        changes=tuple(
            Changed(name, book.title(name), _held(subject, name), _held(after, name)) for name in sorted(changes)
        ),
        before=standing(subject),
        after=standing(after),
        causes=tuple(sorted(moved, key=lambda row: (-max(row.before, row.after), row.cause))),
        findings=tuple(
            FindingMoved(name, book.title(name), states.get(name, ""), states_after.get(name, ""))
            for name in sorted({*states, *states_after})
            if states.get(name) != states_after.get(name)
        ),
    )


def standing(subject: Subject) -> Standing:
    """What is determined and what leads in an area."""
    found = subject.judged.determination
    return Standing(found.determined, found.level, found.leading, found.why_not)


def _held(subject: Subject, attribute: str) -> str:
    fact = subject.facts.get(attribute)
    return value_words(subject.reasoner.rulebook, attribute, fact.value) if fact else "not known"


def _states(subject: Subject) -> dict[str, str]:
    return {seen.finding: seen.state for seen in subject.judged.evidence.observations}
