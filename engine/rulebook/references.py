"""Who refers to whom: every name that a record uses, where it stands, and of which kinds it may be."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.documents import FieldPath
from engine.inference.conditions import Condition, Test, parse_condition, tests, to_data
from engine.rulebook.book import Rulebook
from engine.rulebook.legal import Duty
from engine.rulebook.models import (
    Attribute,
    Cause,
    Conclusion,
    Echo,
    Finding,
    Question,
    Record,
    ReferenceClass,
    Rule,
    Step,
)
from engine.rulebook.reviewing import Remark

TESTABLE = ("questions", "measures", "findings")
"""The kinds whose records a condition may test."""
AFTER_BELIEF = {
    "determined": ("yes", "no"),
    "unknown-cause": ("yes", "no"),
    "no-active-damp": ("yes", "no"),
    "level": ("cause", "mechanism", "none"),
}
"""What is known besides once the causes have been weighed, with its words; no record may bear these ids."""


class Reference(NamedTuple):
    """The record ``by`` names ``name`` at ``path``, which must be the id of a record of one of ``kinds``."""

    by: str
    path: FieldPath
    name: str
    kinds: tuple[str, ...]


class Stated(NamedTuple):
    """A condition as it stands in a record: what it serves, and the rule's stratum where it is a rule's."""

    by: str
    path: FieldPath
    condition: Condition
    serves: str


def references(rulebook: Rulebook) -> Iterator[Reference]:
    """Every reference of every record, conditions included, record by record in id order.

    Names that are settled only after belief (``belief.ground-rise`` and the like) refer to their cause.
    """
    for record in rulebook.records.values():
        yield from _direct(record)
    for stated in conditions(rulebook):
        for path, test in located_tests(rulebook, stated):
            yield from _of_test(stated.by, path, test, rulebook)


def conditions(rulebook: Rulebook) -> Iterator[Stated]:
    """Every condition that the records state, those of ``observed_by`` excepted.

    ``serves`` is a stratum for a rule's condition, else question, gate, mask or class.
    """
    for record in rulebook.records.values():
        if isinstance(record, Rule):
            yield Stated(record.id, ("when",), record.when, record.stratum)
        elif isinstance(record, Question) and record.applies is not None:
            yield Stated(record.id, ("applies",), record.applies, "question")
        elif isinstance(record, ReferenceClass) and record.when is not None:
            yield Stated(record.id, ("when",), record.when, "class")
        elif isinstance(record, Finding):
            for number, mask in enumerate(record.masks):
                if mask.when is not None:
                    yield Stated(record.id, ("masks", number, "when"), mask.when, "mask")
        elif isinstance(record, Cause):
            for number, gate in enumerate(record.gate):
                for place, check in enumerate(gate.checks):
                    path = ("gate", number, "checks", place, "made_when")
                    yield Stated(record.id, path, check.made_when, "gate")


def located_tests(rulebook: Rulebook, stated: Stated) -> list[tuple[FieldPath, Test]]:
    """Every test of a condition with the path at which it is written."""
    place = rulebook.places.get(stated.by)
    data = place.data(stated.path) if place else to_data(stated.condition)
    return list(_walk(data, stated.path))


def _walk(data: Any, path: FieldPath) -> Iterator[tuple[FieldPath, Test]]:
    for name, value in data.items():
        if name in ("all", "any"):
            for number, member in enumerate(value):
                yield from _walk(member, (*path, name, number))
        elif name == "not":
            yield from _walk(value, (*path, name))
        else:
            for test in tests(parse_condition({name: value})):
                yield (*path, name), test


def _of_test(by: str, path: FieldPath, test: Test, rulebook: Rulebook) -> Iterator[Reference]:
    kind, _, name = test.attribute.partition(".")
    if kind in ("belief", "leading", "open", "gate") and name:
        yield Reference(by, path, name, ("causes",))
    elif rulebook.kind_of(test.attribute) in TESTABLE:
        yield Reference(by, path, test.attribute, TESTABLE)
    if test.operator == "range":
        for bound in test.operand:
            if isinstance(bound, str):
                yield Reference(by, path, bound, ("parameters",))


def _direct(record: Record) -> Iterator[Reference]:
    by = record.id
    topic = getattr(record, "topic", None)
    if topic is not None:
        yield Reference(by, ("topic",), topic, ("topics",))
    for number, citation in enumerate(getattr(record, "source", ())):
        yield Reference(by, ("source", number, "source"), citation.source, ("sources",))
    match record:
        case Cause():
            yield from _of_cause(record)
        case Finding():
            yield from _of_finding(record)
        case Echo():
            yield from _each(by, "members", record.members, "findings")
        case Rule():
            for number, conclusion in enumerate(record.conclude):
                yield from _of_conclusion(by, ("conclude", number), conclusion)
            for list_name in ("fires_on", "silent_on"):
                for number, example in enumerate(getattr(record, list_name)):
                    for name in example.facts:
                        if "." not in name and name not in AFTER_BELIEF:
                            yield Reference(by, (list_name, number, "facts", name), name, TESTABLE)
            for number, name in enumerate(record.related):
                yield Reference(by, ("related", number), name, ())
        case Step():
            yield from _each(by, "parts", record.parts, "causes")
            yield from _each(by, "treats", record.treats, "causes")
            yield from _each(by, "settles", record.settles, "findings")
            yield from _each(by, "after", record.after, "steps")
        case Duty():
            yield Reference(by, ("bank_holidays",), record.bank_holidays, ("bank_holidays",))
        case Remark():
            yield from _of_remark(record)
        case Attribute() | _:
            return


def _each(by: str, field: str, names: tuple[str, ...], kind: str) -> Iterator[Reference]:
    for number, name in enumerate(names):
        yield Reference(by, (field, number), name, (kind,))


def _of_remark(remark: Remark) -> Iterator[Reference]:
    for test in tests(remark.when) if remark.when is not None else ():
        for bound in test.operand if test.operator == "range" else ():
            if isinstance(bound, str):
                yield Reference(remark.id, ("when", test.attribute), bound, ("parameters",))


def _of_cause(cause: Cause) -> Iterator[Reference]:
    for name in cause.base_rates:
        yield Reference(cause.id, ("base_rates", name), name, ("reference_classes",))
    for number, gate in enumerate(cause.gate):
        yield Reference(cause.id, ("gate", number, "rival"), gate.rival, ("causes",))
        for place, check in enumerate(gate.checks):
            yield Reference(cause.id, ("gate", number, "checks", place, "step"), check.step, ("steps",))


def _of_finding(finding: Finding) -> Iterator[Reference]:
    for name in finding.makes:
        yield Reference(finding.id, ("makes", name), name, ("causes",))
    for grade, level in (finding.grades or {}).items():
        for name in level.makes:
            yield Reference(finding.id, ("grades", grade, "makes", name), name, ("causes",))
    for number, seen in enumerate(finding.observed_by):
        yield Reference(finding.id, ("observed_by", number, "attribute"), seen.attribute, ("questions", "measures"))
    for number, mask in enumerate(finding.masks):
        if mask.cause is not None:
            yield Reference(finding.id, ("masks", number, "cause"), mask.cause, ("causes",))


_TARGETS = (
    ("finding", "findings"),
    ("leaning", "causes"),
    ("exclude", "causes"),
    ("doubt", "findings"),
    ("step", "steps"),
    ("caution", "cautions"),
)


def _of_conclusion(by: str, path: FieldPath, conclusion: Conclusion) -> Iterator[Reference]:
    for field, kind in _TARGETS:
        name = getattr(conclusion, field)
        if name is not None:
            yield Reference(by, (*path, field), name, (kind,))
