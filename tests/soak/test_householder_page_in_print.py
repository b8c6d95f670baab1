"""The householder's page of every tuned case prints on one A4 page. A long run, by hand: DAMPWRIGHT_SOAK=1."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from cli.report.html import as_html
from engine.reporting import make_report

CASEBOOK = Path(__file__).resolve().parents[2] / "casebook"
CASES = sorted([*CASEBOOK.glob("demo/*.yaml"), *CASEBOOK.glob("regression/*.yaml")])

pytestmark = pytest.mark.skipif(not os.environ.get("DAMPWRIGHT_SOAK"), reason="a long run: set DAMPWRIGHT_SOAK=1")


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_householders_page_is_one_printed_page(path, weighed_for_report, printed_pages):
    report = make_report(weighed_for_report(path), "householder")
    assert len(printed_pages(as_html(report))) == 1
