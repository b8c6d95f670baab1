"""Explanations read as sentences, name only what can be looked up, and claim no finer figures than they hold."""

from __future__ import annotations

import dataclasses
import re

from engine.explaining.answers import Answer
from engine.explaining.changing import Flip, WhatWouldChange
from engine.explaining.contrast import contrast
from engine.explaining.explaining import Asked, explain
from engine.explaining.further_sections import change_section, what_if_section
from engine.explaining.sections import misfits_section, verdict_section, why_section
from engine.explaining.verdict import misfits, verdict
from engine.explaining.what_if import Standing, parse_changes, what_if
from engine.explaining.why import why
from engine.explaining.why_not import why_not
from engine.explaining.why_not_sections import contrast_section, why_not_section

NAMED = ("cause", "finding", "attribute", "record", "rival", "step", "first", "second")
"""Fields of the data that hold the id of a record."""


def texts(entries):
    for entry in entries:
        yield entry.text
        yield from texts(entry.under)


def ids_in(value):
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            inner = getattr(value, field.name)
            if field.name in NAMED and isinstance(inner, str) and inner:
                yield inner
            else:
                yield from ids_in(inner)
    elif isinstance(value, (tuple, list)):
        for item in value:
            yield from ids_in(item)


def check(section, rulebook):
    assert section.heading
    assert section.entries
    for text in texts(section.entries):
        assert set(re.findall(r"\[([^\]]+)\]", text)) <= rulebook.records.keys(), text
        assert text[0].isupper() or not text[0].isalpha(), text
        assert text.endswith((".", ":", "?", "”")), text
        assert not re.search(r"\d\.\d+ dB", text), text
        assert all(int(n) % 5 == 0 for n in re.findall(r"(?:about|under|over) (\d+) %", text.split("dB")[0])), text
        assert "None" not in text
        assert ".." not in text, text
        assert "  " not in text, text


def test_the_verdict_why_and_what_does_not_fit_of_every_case_read_so(subjects, case_file, rulebook):
    for subject in subjects(case_file):
        accounts = [verdict(subject), misfits(subject), *(why(subject, cause) for cause in subject.foremost)]
        assert set(ids_in(accounts)) <= rulebook.records.keys()
        check(verdict_section(rulebook, accounts[0]), rulebook)
        check(misfits_section(rulebook, accounts[1]), rulebook)
        for account in accounts[2:]:
            check(why_section(rulebook, account), rulebook)


def test_further_explanations_read_so(subjects, some_case_file, rulebook, changing):
    for subject in subjects(some_case_file):
        first, second, third = (cause.id for cause in subject.opinion.causes[:3])
        kept_out, rather = why_not(subject, third), contrast(subject, first, second)
        change = changing(subject)
        assert set(ids_in([kept_out, rather, change])) <= rulebook.records.keys()
        check(why_not_section(rulebook, kept_out), rulebook)
        check(contrast_section(rulebook, rather), rulebook)
        check(change_section(rulebook, change), rulebook)


def test_a_what_if_reads_so(demo, rulebook):
    check(what_if_section(rulebook, what_if(demo, parse_changes(rulebook, ["tide-line-seen=no"]))), rulebook)


def test_a_plain_explanation_holds_every_section_in_order(undetermined, rulebook):
    found = explain(undetermined, Asked())
    headings = [section.heading for section in found.sections]
    assert headings[0] == "The verdict"
    assert headings[1].startswith("Why: ")
    assert headings[-2:] == ["How sure", "What does not fit"]
    for section in found.sections:
        check(section, rulebook)


def test_not_determined_is_explained_check_by_check(undetermined):
    found = verdict(undetermined)
    assert not found.determined
    assert found.why_not
    unmade = [check for gate in found.gates for check in gate.checks if not check.made]
    assert unmade
    assert all(check.because and check.step for check in unmade)


def test_a_passed_gate_says_what_made_each_check(demo):
    (gate,) = verdict(demo).gates
    assert gate.passed
    assert all(check.because for check in gate.checks)


def test_what_tells_two_causes_apart_is_signed_towards_the_first(demo):
    one, other = contrast(demo, "bridged-dpc", "ground-rise"), contrast(demo, "ground-rise", "bridged-dpc")
    assert {t.item.finding: round(t.difference, 6) for t in one.told_apart} == {
        t.item.finding: -round(t.difference, 6) for t in other.told_apart
    }
    assert one.probabilities == tuple(reversed(other.probabilities))


def flip(attribute, value, was, leading, probability, minutes=1.0):
    after = Standing(False, "none", leading, ())
    answer = Answer(attribute, value, was, minutes)
    return Flip((answer,), minutes, was is not None, after, (), ((leading[0], probability),))


def test_answers_to_one_question_after_which_the_same_leads_are_told_in_one(rulebook):
    before = Standing(False, "none", ("ground-rise",), ())
    flips = (
        flip("change-after-rain", "worse-within-hours", None, ("bridged-dpc",), 0.5),
        flip("change-after-rain", "worse-within-days", None, ("bridged-dpc",), 0.4),
        flip("change-after-rain", "watched-no-change", None, ("residual-salts",), 0.6),
        flip("tide-line-seen", "no", "yes", ("bridged-dpc",), 0.5),
    )
    section = change_section(rulebook, WhatWouldChange(before, flips, 9))
    check(section, rulebook)
    as_it_is, opened, reopened = section.entries
    assert as_it_is.text.startswith("As it is, rising damp from the ground [ground-rise] leads")
    both, other = opened.under
    assert "” or “" in both.text
    assert "(about 1 minute). Then bridged damp-proof course [bridged-dpc] leads; nothing is determined." in both.text
    assert [entry.text.startswith("With “") for entry in both.under] == [True, True]
    assert "[residual-salts] leads" in other.text
    assert "“no” instead of “yes”" in reopened.under[0].text


def test_what_a_rule_lacked_is_never_that_something_should_not_be_known(demo, undetermined):
    for subject in (demo, undetermined):
        for cause in ("ground-rise", "residual-salts", "rain-through-wall"):
            for miss in why_not(subject, cause).misses:
                assert "would have to be not known" not in miss.lacked
                found = subject.judged.evidence.facts
                concluded = [c for c in subject.reasoner.rulebook.rules[miss.record].conclude if c.finding]
                assert not concluded or any(
                    c.finding not in found or found[c.finding].value != c.state for c in concluded
                )
