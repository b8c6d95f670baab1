"""Every worked case makes a report in every format. A long run, by hand: DAMPWRIGHT_SOAK=1."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from cli.report.html import as_html
from cli.report.markdown import as_markdown
from cli.report.word import as_word
from engine.reporting import make_report

CASES = sorted((Path(__file__).resolve().parents[2] / "casebook").glob("*/*.yaml"))

pytestmark = pytest.mark.skipif(not os.environ.get("DAMPWRIGHT_SOAK"), reason="a long run: set DAMPWRIGHT_SOAK=1")


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_worked_case_makes_a_report_in_every_format(path, weighed_for_report):
    found = weighed_for_report(path)
    report = make_report(found)
    html, markdown = as_html(report), as_markdown(report)
    for text in (html, markdown):
        assert not re.search(r"(?:>|\| |: )None(?:<| \||\.?$)|<engine\.|object at 0x|dataclass", text, re.MULTILINE)
    for place in found.places:
        for cause in place.opinion.leading:
            assert found.rulebook.title(cause).lower() in markdown.lower()
    blaming = [phrase for phrase in found.rulebook.words["blame-words"].words if phrase in markdown.lower()]
    assert not blaming
    assert as_word(report)[:2] == b"PK"
