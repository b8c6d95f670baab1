"""Gaps that do not make a rule base unsound: what feeds nothing, what nothing explains, what is left open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

from engine.documents import FieldPath
from engine.errors import Problem, nearest
from engine.inference.conditions import attributes
from engine.rulebook.checks.inspection import Inspection, listed
from engine.rulebook.checks.wording import texts
from engine.rulebook.compiling import strength_levels
from engine.rulebook.models import NOT_ASSESSED, Finding, Record, Step
from engine.rulebook.references import conditions, located_tests


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Findings that nothing can observe; not said while some records cannot be read, which might."""
    if inspection.rulebook.broken:
        return
    for finding in inspection.rulebook.findings.values():
        if finding.id not in inspection.concluded:
            found = "a finding that nothing concludes"
            advice = "add 'observed_by', or a rule that concludes it"
            yield inspection.problem(finding.id, (), found, "a finding that can be observed", advice)


def remarks(inspection: Inspection) -> Iterator[Problem]:
    """Every gap; none is said while some records cannot be read, which might fill it."""
    if inspection.rulebook.broken:
        return
    yield from _idle_questions(inspection)
    yield from _unexplained_findings(inspection)
    yield from _unseen_causes(inspection)
    yield from _unparted_causes(inspection)
    yield from _idle_steps(inspection)
    yield from _idle_cautions(inspection)
    yield from _near_mechanisms(inspection)
    yield from _empty_near_misses(inspection)
    yield from _foreign_units(inspection)


def _remark(inspection: Inspection, record: str, path: FieldPath, found: str, advice: str) -> Problem:
    return inspection.problem(record, path, found, "", advice)


def _idle_questions(inspection: Inspection) -> Iterator[Problem]:
    rulebook = inspection.rulebook
    used = {seen.attribute for finding in rulebook.findings.values() for seen in finding.observed_by}
    for stated in conditions(rulebook):
        rule = rulebook.rules.get(stated.by)
        if rule is None or rule.status != "retired":
            used |= attributes(stated.condition)
    for question in rulebook.questions.values():
        if question.id not in used:
            advice = "let a rule, a finding's 'observed_by' or a gate use it, or delete it"
            yield _remark(inspection, question.id, (), "a question that feeds nothing", advice)


def _bearing(finding: Finding) -> dict[str, tuple[str, ...]]:
    """For each cause that a finding names the words that it gives, mask included."""
    try:
        levels = strength_levels(finding)
    except (KeyError, ValueError):
        return {}
    causes = {cause for level in levels for cause in level.makes}
    words = {cause: tuple(level.makes.get(cause, "") for level in levels) for cause in causes}
    for mask in finding.masks:
        if mask.cause is not None:
            words[mask.cause] = (*words.get(mask.cause, ()), f"masked {mask.strength}")
    return words


def _unexplained_findings(inspection: Inspection) -> Iterator[Problem]:
    for finding in inspection.rulebook.findings.values():
        if not finding.makes and not any(level.makes for level in (finding.grades or {}).values()):
            found = "a finding that no cause explains"
            advice = "add the causes that make it to 'makes'"
            yield _remark(inspection, finding.id, (), found, advice)


def _unseen_causes(inspection: Inspection) -> Iterator[Problem]:
    seen = {cause for finding in inspection.rulebook.findings.values() for cause in _bearing(finding)}
    for cause in inspection.rulebook.causes.values():
        if cause.id not in seen:
            advice = "add it to 'makes' of the findings that it brings about"
            yield _remark(inspection, cause.id, (), "a cause that no finding names", advice)
        if not cause.gate:
            advice = "say which rivals must be checked before it may be firm"
            yield _remark(inspection, cause.id, (), "a cause without a gate", advice)


def _unparted_causes(inspection: Inspection) -> Iterator[Problem]:
    bearing = {finding.id: _bearing(finding) for finding in inspection.rulebook.findings.values()}
    for one, other in combinations(inspection.rulebook.causes.values(), 2):
        if all(words.get(one.id) == words.get(other.id) for words in bearing.values()):
            found = f"nothing that parts it from {other.id!r} ({inspection.at(other.id)})"
            yield _remark(inspection, one.id, (), found, "add one")


def _idle_steps(inspection: Inspection) -> Iterator[Problem]:
    rulebook = inspection.rulebook
    called = {conclusion.step for rule in inspection.rules for conclusion in rule.conclude}
    called |= {check.step for cause in rulebook.causes.values() for gate in cause.gate for check in gate.checks}
    called |= {name for step in rulebook.steps.values() for name in step.after}
    for step in rulebook.steps.values():
        if step.kind == "test" and step.parts and not step.settles:
            advice = "name in 'settles' the findings that it would observe"
            yield _remark(inspection, step.id, ("parts",), "a test that parts causes but settles no finding", advice)
        elif not step.settles and step.id not in called:
            advice = "let a rule of the stratum advice conclude it, or a gate name it"
            yield _remark(inspection, step.id, (), "a step that nothing calls for", advice)
        yield from _unparting(inspection, step)


def _unparting(inspection: Inspection, step: Step) -> Iterator[Problem]:
    """Causes that a test is said to part although what it settles parts them from none of the others."""
    findings = [inspection.rulebook.findings[name] for name in step.settles if name in inspection.rulebook.findings]
    if not findings:
        return
    bearing = [_bearing(finding) for finding in findings]
    for number, one in enumerate(step.parts):
        others = [other for other in step.parts if other != one]
        if all(words.get(one) == words.get(other) for words in bearing for other in others):
            found = f"{one!r}, which no finding that the test settles parts from the others"
            advice = "add the finding that does to 'settles', or take the cause out of 'parts'"
            yield _remark(inspection, step.id, ("parts", number), found, advice)


def _idle_cautions(inspection: Inspection) -> Iterator[Problem]:
    called = {conclusion.caution for rule in inspection.rules for conclusion in rule.conclude}
    for caution in inspection.rulebook.cautions.values():
        if caution.id not in called:
            advice = "let a rule of the stratum advice conclude it"
            yield _remark(inspection, caution.id, (), "a caution that nothing raises", advice)


def _near_mechanisms(inspection: Inspection) -> Iterator[Problem]:
    mechanisms = inspection.rulebook.mechanisms
    for name, causes in mechanisms.items():
        close = nearest(
            name, (other for other in mechanisms if other != name and len(mechanisms[other]) >= len(causes))
        )
        if len(causes) == 1 and close is not None and abs(len(close) - len(name)) <= 2 and close[:3] == name[:3]:
            found = f"the mechanism {name!r}, which no other cause has"
            yield inspection.problem(causes[0], ("mechanism",), found, listed(mechanisms), "", close)


def _empty_near_misses(inspection: Inspection) -> Iterator[Problem]:
    for rule in inspection.rules:
        if inspection.at_fault(rule.id, "when"):
            continue
        asked = attributes(rule.when)
        for number, example in enumerate(rule.silent_on):
            if not asked & example.facts.keys() and not asked & inspection.rulebook.findings.keys():
                path: FieldPath = ("silent_on", number)
                advice = "change one fact of the example on which it fires"
                yield _remark(inspection, rule.id, path, "none of the facts that the rule asks", advice)


def _foreign_units(inspection: Inspection) -> Iterator[Problem]:
    parameters = inspection.rulebook.parameters
    for stated in conditions(inspection.rulebook):
        for path, test in located_tests(inspection.rulebook, stated):
            term = inspection.terms.get(test.attribute)
            if term is None or term.unit is None or test.operator != "range":
                continue
            for bound in test.operand:
                parameter = parameters.get(bound) if isinstance(bound, str) else None
                if parameter is not None and parameter.unit != term.unit:
                    found = f"{parameter.id!r} [{parameter.unit}] as a bound of {term.id} [{term.unit}]"
                    advice = "give both the same unit, in the same words"
                    yield _remark(inspection, stated.by, path, found, advice)


def not_assessed(records: Iterable[Record]) -> int:
    """How many prose fields their authors have left honestly unthought-through."""
    return sum(text == NOT_ASSESSED for record in records for _, text in texts(record.model_dump(mode="json")))
