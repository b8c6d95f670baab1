"""The days on which dampness was reported and its investigation finished."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from engine.case import case_digest, parse_case, read_case
from engine.case.workbook.writing import write_form
from engine.documents import read_document
from engine.errors import InvalidInput
from engine.rulebook import load_rulebook

PLAIN = """\
format: 1
id: report
title: A report
{commission}
dwelling: {{title: House}}
visits: [{{id: first, on: 2026-11-10}}]
areas: [{{id: hall, title: Hall}}]
"""
DATED = "commission: {reported_on: 2026-11-02, investigation_finished_on: 2026-11-12}"


def read(commission):
    return parse_case(read_document(Path("report.yaml"), text=PLAIN.format(commission=commission)))


def test_both_days_are_read():
    commission = read(DATED).commission
    assert (commission.reported_on, commission.investigation_finished_on) == (date(2026, 11, 2), date(2026, 11, 12))


def test_an_investigation_that_finished_before_the_report_is_refused_with_its_line():
    with pytest.raises(InvalidInput) as fault:
        read(DATED.replace("2026-11-12", "2026-11-01"))
    (problem,) = fault.value.problems
    assert (problem.line, problem.field) == (4, "commission.investigation_finished_on")
    assert problem.allowed == "a day from the day of the report on, 2026-11-02"


def test_the_form_carries_both_days(tmp_path):
    case = read(DATED)
    form = tmp_path / "form.xlsx"
    form.write_bytes(write_form(case, load_rulebook()))
    assert case_digest(read_case(form)) == case_digest(case)
