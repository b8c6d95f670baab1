"""Text that was marked private in a case is nowhere in a report of it."""

from __future__ import annotations

from pathlib import Path

from engine.case import case_digest, parse_case
from engine.documents import read_document
from engine.reporting.making import make_report
from engine.reporting.material import material
from engine.rulebook import load_rulebook

CASE = """\
format: 1
id: told-in-confidence
title: An invented room (private) SECRET
note: "(private) SECRET"
commission: {brief: "Why it is damp. (private) SECRET"}
dwelling:
  title: invented house
  facts: [{attribute: heating, value: steady, basis: told, note: "all day (private) SECRET"}]
visits: [{id: only, on: 2026-01-15, note: "(private) SECRET"}]
areas:
  - id: room
    title: Room
    facts: [{attribute: tide-line-seen, value: yes, basis: seen, note: "low down (private) SECRET"}]
    not_inspected: [{what: the cupboard, why: "locked (private) SECRET"}]
    conclusion: {causes: [], statement: "I do not know. (private) SECRET"}
"""


def test_text_marked_private_is_not_printed_and_the_digest_is_that_of_the_whole_case():
    rulebook = load_rulebook()
    case = parse_case(read_document(Path("case.yaml"), text=CASE), rulebook)
    found = material(case, rulebook, backend="python")
    report = repr(make_report(found))
    assert "SECRET" not in report
    assert "low down" in report
    assert "I do not know." in report
    assert found.opinion.case.digest == case_digest(case)
    assert case_digest(case) in report
