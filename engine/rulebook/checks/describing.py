"""Records that describe: attributes with the values they can have, sources that say how they reached us, steps."""

from __future__ import annotations

from collections.abc import Iterator

from engine.errors import Problem
from engine.rulebook.checks.inspection import Inspection
from engine.rulebook.models import Attribute, Source, Step
from engine.rulebook.references import AFTER_BELIEF

RESERVED = ("unknown", "known", "not-applicable", "not-inspected", "later")
"""Answers that every attribute takes, and so no choice of its own."""


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Every fault in how attributes, sources and steps describe what they are."""
    rulebook = inspection.rulebook
    for name in AFTER_BELIEF:
        if name in rulebook.records:
            allowed = f"ids other than {', '.join(AFTER_BELIEF)}"
            advice = "conditions use this name for the outcome of the weighing: choose another id"
            yield inspection.problem(name, ("id",), repr(name), allowed, advice)
    for attribute in rulebook.attributes.values():
        yield from _attribute_faults(inspection, attribute)
    for source in rulebook.sources.values():
        yield from _source_faults(inspection, source)
    for step in rulebook.steps.values():
        yield from _step_faults(inspection, step)


def _attribute_faults(inspection: Inspection, attribute: Attribute) -> Iterator[Problem]:
    seen: set[str] = set()
    for number, choice in enumerate(attribute.choices):
        path = ("choices", number, "id")
        if choice.id in RESERVED:
            advice = "every attribute takes this answer anyway: delete it"
            yield inspection.problem(attribute.id, path, repr(choice.id), "words of its own", advice)
        if choice.id in seen:
            yield inspection.problem(
                attribute.id, path, f"{choice.id!r} a second time", "each choice once", "delete it"
            )
        seen.add(choice.id)
    if attribute.kind == "choice" and len(attribute.choices) < 2:
        found = "a single choice" if attribute.choices else "no choices"
        advice = "add 'choices: [{id: …, title: …}, …]'"
        yield inspection.problem(attribute.id, ("choices",), found, "two or more for the kind choice", advice)
    if attribute.kind != "choice" and attribute.choices:
        found = f"choices for the kind {attribute.kind}"
        yield inspection.problem(attribute.id, ("choices",), found, "choices only for the kind choice", "delete them")
    if attribute.kind == "number" and attribute.unit is None:
        advice = "add its unit, such as 'unit: mm'"
        yield inspection.problem(attribute.id, (), "a number without a unit", "a unit for every number", advice)
    for field in ("unit", "minimum", "maximum"):
        if attribute.kind != "number" and getattr(attribute, field) is not None:
            found = f"{field} for the kind {attribute.kind}"
            yield inspection.problem(attribute.id, (field,), found, f"{field} only for the kind number", "delete it")
    low, high = attribute.minimum, attribute.maximum
    if low is not None and high is not None and low >= high:
        found = f"minimum {low:g} and maximum {high:g}"
        yield inspection.problem(attribute.id, ("minimum",), found, "minimum smaller than maximum", "change one")


def _source_faults(inspection: Inspection, source: Source) -> Iterator[Problem]:
    if source.kind == "published" and source.seen is None:
        advice = "add 'seen: …' as it was: read, known through others, or remembered"
        allowed = "seen: read, secondary or from_memory for a published source"
        yield inspection.problem(source.id, (), "nothing on how the source reached us", allowed, advice)


def _step_faults(inspection: Inspection, step: Step) -> Iterator[Problem]:
    if step.irreversible and not step.treats:
        advice = "add 'treats: [cause, …]', whose gates then hold it back"
        yield inspection.problem(
            step.id, ("irreversible",), "an irreversible step that treats no cause", "treats", advice
        )
    if step.irreversible and step.kind != "action":
        found = f"an irreversible {step.kind}"
        yield inspection.problem(step.id, ("irreversible",), found, "irreversible only for the kind action", "")
