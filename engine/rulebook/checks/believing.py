"""What belief needs: base rates for every class of place, strengths that are words of their scale, ordered grades."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.documents import FieldPath
from engine.errors import Problem, nearest
from engine.inference.belief import EchoFault, Network, echo_faults
from engine.inference.echoes import EchoModel
from engine.rulebook.checks.inspection import Inspection, listed
from engine.rulebook.compiling import finding_model
from engine.rulebook.models import Finding, Scale

_SCALES = {"frequency": (0.0, 1.0), "mask": (0.0, 1.0), "leaning": (None, None)}
"""The scales that must be there, and the bounds between which, ends excluded, their numbers must lie."""

_WEAKENING = 3.0
"""A further member of an echo group that weakens a cause on its own by more than this [dB] is worth a remark."""


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Every fault of scales, classes of place, base rates, strengths, grades and echo groups."""
    yield from _scale_faults(inspection)
    yield from _class_faults(inspection)
    for finding in inspection.rulebook.findings.values():
        yield from _strength_faults(inspection, finding)
        yield from _grade_faults(inspection, finding)
    yield from _commonness_faults(inspection)
    yield from _group_faults(inspection)


def remarks(inspection: Inspection) -> Iterator[Problem]:
    """Echo groups in which seeing a further member would noticeably weaken a cause that it supports."""
    yield from (_echo_problem(inspection, fault) for fault in _echo_faults(inspection) if _noticeable(fault))


def _noticeable(fault: EchoFault) -> bool:
    return fault.beside is None and fault.decibans > _WEAKENING


def _scale_faults(inspection: Inspection) -> Iterator[Problem]:
    scales = inspection.rulebook.scales
    for name in _SCALES:
        if name not in scales and not inspection.broken(name):
            found = f"no scale {name!r}"
            yield Problem("rulesets/scales.yaml", None, "", found, f"the scales {', '.join(_SCALES)}", "add it")
    for scale in scales.values():
        low, high = _SCALES.get(scale.id, (None, None))
        for word, number in scale.words.items():
            if (low is not None and number <= low) or (high is not None and number >= high):
                allowed = f"more than {low:g} and less than {high:g}"
                yield inspection.problem(scale.id, ("words", word), f"{number:g}", allowed, "no strength is certain")


def _class_faults(inspection: Inspection) -> Iterator[Problem]:
    rulebook = inspection.rulebook
    classes = list(rulebook.reference_classes.values())
    if not classes:
        found = "no reference class"
        advice = "add one without a condition, for a place of which nothing is known"
        yield Problem("rulesets/reference_classes.yaml", None, "", found, "at least one", advice)
        return
    for place in classes[:-1]:
        if place.when is None:
            found = "no condition, although further classes follow that are then never reached"
            yield inspection.problem(place.id, (), found, "only the last without 'when'", "move it to the end")
    if classes[-1].when is not None:
        found = "a condition on the last class, so that some places have none"
        yield inspection.problem(classes[-1].id, ("when",), found, "the last without 'when'", "add a class without one")
    for cause in rulebook.causes.values():
        missing = [place.id for place in classes if place.id not in cause.base_rates]
        if missing:
            found = f"no base rate for {listed(missing)}"
            yield inspection.problem(cause.id, ("base_rates",), found, "one for every reference class", "add it")


def _strength_faults(inspection: Inspection, finding: Finding) -> Iterator[Problem]:
    if finding.grades is not None:
        if finding.background is not None or finding.makes:
            found = "background or makes beside grades"
            yield inspection.problem(finding.id, (), found, "either grades, or background and makes", "delete one")
        for grade in ("slight", "strong"):
            if grade not in finding.grades:
                yield inspection.problem(
                    finding.id, ("grades",), f"no grade {grade}", "the grades slight and strong", "add it"
                )
        for grade, level in finding.grades.items():
            here: FieldPath = ("grades", grade)
            yield from _words(inspection, finding.id, here, level.background, level.makes)
    elif finding.background is None:
        advice = "add 'background: …', how often the sign is met when none of the causes is at work"
        yield inspection.problem(finding.id, (), "no background", "background and makes, or grades", advice)
    else:
        yield from _words(inspection, finding.id, (), finding.background, finding.makes)
    for number, mask in enumerate(finding.masks):
        path: FieldPath = ("masks", number)
        yield from _word(inspection, finding.id, (*path, "strength"), mask.strength, "mask")
        if (mask.cause is None) == (mask.when is None):
            found = "both cause and when" if mask.cause is not None else "neither cause nor when"
            yield inspection.problem(finding.id, path, found, "exactly one of cause, when", "")
    for number, state in enumerate(finding.dry_evidence):
        if state not in finding.states():
            close = nearest(state, finding.states())
            allowed = listed(finding.states())
            yield inspection.problem(finding.id, ("dry_evidence", number), repr(state), allowed, "", close)


def _words(
    inspection: Inspection, record: str, path: FieldPath, background: str, makes: Mapping[str, str]
) -> Iterator[Problem]:
    yield from _word(inspection, record, (*path, "background"), background, "frequency")
    for cause, word in makes.items():
        yield from _word(inspection, record, (*path, "makes", cause), word, "frequency")


def _word(inspection: Inspection, record: str, path: FieldPath, word: str, scale: str) -> Iterator[Problem]:
    known: Scale | None = inspection.rulebook.scales.get(scale)
    if known is not None and word not in known.words:
        allowed = f"on the scale {scale!r}: {listed(known.words, 20)}"
        yield inspection.problem(record, path, repr(word), allowed, "", nearest(word, known.words))


def _grade_faults(inspection: Inspection, finding: Finding) -> Iterator[Problem]:
    network = _network(inspection, [finding]) if finding.grades is not None else None
    if isinstance(network, ValueError):
        advice = "make 'strong' rarer than 'slight' in background and with every cause"
        found = str(network).partition(": ")[2]
        yield inspection.problem(finding.id, ("grades",), found, "grades in order under every set of causes", advice)


def _network(
    inspection: Inspection, findings: list[Finding], echoes: tuple[EchoModel, ...] = ()
) -> Network | ValueError | None:
    """The network of some findings; None where their words or causes are at fault already."""
    causes = tuple(inspection.rulebook.causes)
    try:
        models = [finding_model(inspection.rulebook, finding) for finding in findings]
    except (KeyError, ValueError):
        return None
    if any(cause not in causes for model in models for _, makes in model.cumulative for cause in makes):
        return None
    if any(cause not in causes for model in models for cause in model.cause_masks):
        return None
    try:
        return Network(causes, models, echoes)
    except ValueError as error:
        return error


def _commonness_faults(inspection: Inspection) -> Iterator[Problem]:
    for question in inspection.rulebook.questions.values():
        for answer, word in (question.commonness or {}).items():
            path: FieldPath = ("commonness", answer)
            yield from _word(inspection, question.id, path, word, "frequency")
            if answer not in question.words():
                allowed = listed(question.words(), 20) or "no commonness for a number"
                close = nearest(answer, question.words())
                yield inspection.problem(question.id, path, repr(answer), allowed, "", close)


def _group_faults(inspection: Inspection) -> Iterator[Problem]:
    rulebook = inspection.rulebook
    group_of: dict[str, str] = {}
    for echo in rulebook.echoes.values():
        for number, member in enumerate(echo.members):
            other = group_of.setdefault(member, echo.id)
            if other != echo.id:
                found = f"{member!r}, which belongs to {other!r} ({inspection.at(other)}) already"
                yield inspection.problem(
                    echo.id, ("members", number), found, "one echo group for a finding", "delete one"
                )


def _echo_faults(inspection: Inspection) -> Iterator[EchoFault]:
    rulebook = inspection.rulebook
    for echo in rulebook.echoes.values():
        members = [rulebook.findings[name] for name in echo.members if name in rulebook.findings]
        if len(members) < len(echo.members):
            continue
        network = _network(inspection, members, (EchoModel(echo.id, echo.members, echo.correlation),))
        if isinstance(network, Network):
            yield from echo_faults(network)


def _echo_problem(inspection: Inspection, fault: EchoFault) -> Problem:
    members = inspection.rulebook.echoes[fault.group].members
    beside = f" beside {fault.beside}" if fault.beside else ""
    found = (
        f"{fault.finding!r} before {listed(repr(name) for name in fault.later)}: seeing it too would weaken"
        f" {fault.cause}{beside} by {abs(fault.decibans):.1f} dB"
    )
    advice = f"put {fault.finding!r} later in the group, or take it out"
    number = members.index(fault.finding)
    return inspection.problem(fault.group, ("members", number), found, "the most telling member first", advice)
