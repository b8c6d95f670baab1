"""Tests in conditions: of known attributes, with values that these can have, in a stratum that knows them."""

from __future__ import annotations

from collections.abc import Iterator

from engine.documents import FieldPath
from engine.errors import Problem, nearest
from engine.inference.conditions import Test, parse_condition, tests
from engine.inference.facts import NOT_APPLICABLE
from engine.rulebook.checks.inspection import STRATA, Inspection, Term, listed
from engine.rulebook.models import Finding, Rule
from engine.rulebook.references import Stated, conditions, located_tests

_AFTER_FINDINGS = STRATA.index("advice")


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Every fault of every test of every condition, of what observes findings, and of the rules' examples."""
    for stated in conditions(inspection.rulebook):
        for path, test in located_tests(inspection.rulebook, stated):
            yield from _test_faults(inspection, stated, path, test)
    for finding in inspection.rulebook.findings.values():
        yield from _observation_faults(inspection, finding)
    for rule in inspection.rulebook.rules.values():
        yield from _example_faults(inspection, rule)


def _test_faults(inspection: Inspection, stated: Stated, path: FieldPath, test: Test) -> Iterator[Problem]:
    if inspection.broken(test.attribute):
        return
    term = inspection.terms.get(test.attribute)
    if term is None:
        yield unknown_attribute(inspection, stated.by, path, test.attribute, stated.serves)
        return
    yield from value_faults(inspection, stated.by, path, test, term)
    yield from _time_faults(inspection, stated, path, test, term)


def unknown_attribute(inspection: Inspection, record: str, path: FieldPath, name: str, serves: str) -> Problem:
    """The fault of a test of something that no record declares."""
    kind = inspection.rulebook.kind_of(name)
    found = repr(name) if kind is None else f"{name!r}, which is one of the {kind.replace('_', ' ')}"
    allowed = "the id of a question, measure or finding"
    if serves == "advice":
        allowed += ", or belief., leading., open. or gate. before a cause's id, mechanism. before a mechanism's"
    names = [term.id for term in inspection.terms.values() if term.is_a != "belief" or serves == "advice"]
    close = nearest(name, names)
    advice = "" if close else "add a question that asks it, or a measure or finding with this id"
    return inspection.problem(record, path, found, allowed, advice, close)


def value_faults(inspection: Inspection, record: str, path: FieldPath, test: Test, term: Term) -> Iterator[Problem]:
    """What a test asks for that its attribute can never be."""
    if test.operator == "in":
        for value in test.operand:
            if term.words and value not in term.words:
                found, close = repr(value), _meant(str(value), term)
                if not isinstance(value, str):
                    found += ", a number"
                yield inspection.problem(record, path, found, f"for {term.id}: {listed(term.words, 20)}", "", close)
            elif not term.words and isinstance(value, str):
                advice = "write {at_least: number}, {below: number} or both"
                allowed = f"for {term.id}, which is a number [{term.unit}]: a range"
                yield inspection.problem(record, path, repr(value), allowed, advice)
    elif test.operator == "range" and term.words:
        found = "a test of a number"
        yield inspection.problem(
            record, path, found, f"for {term.id}, a word: {listed(term.words, 20)}", "write the word"
        )
    elif test.operator == "range":
        yield from _range_faults(inspection, record, path, test, term)


def _meant(value: str, term: Term) -> str | None:
    """The word that was probably meant; yes and no of a finding stand for its strongest and weakest state."""
    if term.is_a == "finding" and value in ("yes", "no"):
        return term.words[-1 if value == "yes" else 0]
    return nearest(value, term.words)


def _range_faults(inspection: Inspection, record: str, path: FieldPath, test: Test, term: Term) -> Iterator[Problem]:
    parameters = inspection.rulebook.parameters
    bounds: list[float | None] = []
    for bound in test.operand:
        if isinstance(bound, str):
            if bound not in parameters:
                return  # said by the check of references
            bounds.append(parameters[bound].value)
        else:
            bounds.append(None if bound is None else float(bound))
    at_least, below = bounds
    if at_least is not None and below is not None and at_least >= below:
        found = f"at least {at_least:g} and below {below:g}, which nothing is"
        yield inspection.problem(record, path, found, "at_least smaller than below", "change one of the two bounds")
    if at_least is not None and term.maximum is not None and at_least > term.maximum:
        found = f"at least {at_least:g} [{term.unit}]"
        yield inspection.problem(record, path, found, f"for {term.id}: at most {term.maximum:g}", "it can never hold")
    if below is not None and term.minimum is not None and below <= term.minimum:
        found = f"below {below:g} [{term.unit}]"
        yield inspection.problem(record, path, found, f"for {term.id}: at least {term.minimum:g}", "it can never hold")


def _time_faults(inspection: Inspection, stated: Stated, path: FieldPath, test: Test, term: Term) -> Iterator[Problem]:
    """What is not yet known, or not yet settled, when the condition is evaluated."""
    serves = stated.serves
    if serves == "class" and term.is_a in ("finding", "belief"):
        found = f"{term.id!r}, which is concluded only later"
        yield inspection.problem(stated.by, path, found, "questions and measures", "a class of place is chosen first")
        return
    if serves != "admission" and term.scope == "instrument":
        found = f"{term.id!r}, which is known of one instrument, not of an area"
        advice = "test it in a rule of the stratum admission, or test a measure of the area"
        yield inspection.problem(stated.by, path, found, "what is known of an area", advice)
        return
    if serves == "admission" and term.scope != "instrument":
        known = [name for name, other in inspection.terms.items() if other.scope == "instrument"]
        found = f"{term.id!r}, which is not known of an instrument"
        allowed = f"in the stratum admission: {listed(known)}"
        yield inspection.problem(stated.by, path, found, allowed, "move the rule to a later stratum")
        return
    now = STRATA.index(serves) if serves in STRATA else _AFTER_FINDINGS
    if term.is_a == "belief" and serves != "advice":
        found = f"{term.id!r}, which is known only after the causes have been weighed"
        yield inspection.problem(
            stated.by, path, found, "what is known before", "only a rule of the stratum advice may"
        )
    elif term.first > now:
        found = f"{term.id!r}, a finding that a rule of the stratum {STRATA[term.first]} concludes"
        advice = f"write 'stratum: {STRATA[term.first]}'"
        yield inspection.problem(stated.by, path, found, "what this stratum or an earlier one concludes", advice)
    elif term.settled > now and _asks_unknown(test, path):
        found = f"'unknown' of {term.id!r}, which is settled only at the end of this stratum"
        later = f"write 'stratum: {STRATA[term.settled]}'"
        if term.settled == _AFTER_FINDINGS:
            later = "let the rules that conclude it be of the stratum readings"
        advice = f"{later}, or test another attribute"
        yield inspection.problem(stated.by, path, found, "'unknown' of what an earlier stratum settles", advice)


def _asks_unknown(test: Test, path: FieldPath) -> bool:
    """Whether the test holds for want of a fact: ``unknown``, or ``known`` under an odd number of ``not``."""
    turned = path.count("not") % 2 == 1
    return test.operator == ("known" if turned else "unknown")


def _observation_faults(inspection: Inspection, finding: Finding) -> Iterator[Problem]:
    for number, seen in enumerate(finding.observed_by):
        path: FieldPath = ("observed_by", number)
        term = inspection.terms.get(seen.attribute)
        if term is None or term.is_a not in ("question", "measure"):
            continue  # said by the check of references
        if term.scope == "instrument":
            found = f"{term.id!r}, which is known of one instrument, not of an area"
            yield inspection.problem(finding.id, (*path, "attribute"), found, "what is known of an area")
        if seen.states is None:
            yield from _unstated_faults(inspection, finding, path, term)
            continue
        for state, data in seen.states.items():
            here = (*path, "states", state)
            if state not in finding.states():
                allowed, close = listed(finding.states()), nearest(state, finding.states())
                yield inspection.problem(finding.id, here, f"the state {state!r}", allowed, "", close)
            try:
                parsed = parse_condition({seen.attribute: data})
            except ValueError as error:
                yield inspection.problem(finding.id, here, repr(data), "", str(error))
                continue
            for test in tests(parsed):
                yield from value_faults(inspection, finding.id, here, test, term)
                if test.operator == "unknown":
                    advice = "a missing answer never counts as no"
                    yield inspection.problem(finding.id, here, "'unknown'", "a test of a known value", advice)


def _unstated_faults(inspection: Inspection, finding: Finding, path: FieldPath, term: Term) -> Iterator[Problem]:
    if term.words != ("yes", "no"):
        what = f"a number [{term.unit}]" if not term.words else f"one of {listed(term.words)}"
        found = f"{term.id!r}, which is {what}, without states"
        allowed = "a yes-no attribute, or states"
        advice = f"add states: {{{', '.join(f'{state}: <test>' for state in reversed(finding.states()))}}}"
        yield inspection.problem(finding.id, (*path, "attribute"), found, allowed, advice)
    elif finding.grades is not None:
        found = "a yes-no attribute of a graded finding, without states"
        yield inspection.problem(finding.id, path, found, "states", "say which grade yes stands for")


def _example_faults(inspection: Inspection, rule: Rule) -> Iterator[Problem]:
    for kind in ("fires_on", "silent_on"):
        for number, example in enumerate(getattr(rule, kind)):
            for name, value in example.facts.items():
                path: FieldPath = (kind, number, "facts", name)
                term = inspection.terms.get(name)
                if term is None:
                    if "." in name:
                        yield unknown_attribute(inspection, rule.id, path, name, rule.stratum)
                    continue
                if value != NOT_APPLICABLE:
                    yield from _given_faults(inspection, rule, path, value, term)


def _given_faults(
    inspection: Inspection, rule: Rule, path: FieldPath, value: str | float, term: Term
) -> Iterator[Problem]:
    """What an example gives an attribute that it can never be."""
    advice = "leave a fact out when it is not known" if value in ("unknown", "known") else ""
    if term.words and value not in term.words:
        close = nearest(str(value), term.words)
        allowed = f"for {term.id}: {listed(term.words, 20)}"
        yield inspection.problem(rule.id, path, repr(value), allowed, advice, close)
    elif not term.words and isinstance(value, str):
        yield inspection.problem(rule.id, path, repr(value), f"a number [{term.unit}]", advice)
    elif not term.words and not _within(float(value), term):
        allowed = f"for {term.id}: {_bounds(term)} [{term.unit}]"
        yield inspection.problem(rule.id, path, f"{value:g}", allowed)


def _within(value: float, term: Term) -> bool:
    above = term.minimum is None or value >= term.minimum
    return above and (term.maximum is None or value <= term.maximum)


def _bounds(term: Term) -> str:
    low = "" if term.minimum is None else f"at least {term.minimum:g}"
    high = "" if term.maximum is None else f"at most {term.maximum:g}"
    return " and ".join(part for part in (low, high) if part)
