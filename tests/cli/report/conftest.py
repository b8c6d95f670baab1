"""The hostile case made into a report once, and that report in every format."""

from __future__ import annotations

import pytest

from cli.report.html import as_html
from cli.report.markdown import as_markdown
from cli.report.word import as_word
from engine.reporting import make_report


@pytest.fixture(scope="session")
def hostile(report_cases, weighed_for_report, tmp_path_factory):
    """The report on the hostile case, and the marks of its texts."""
    data, marks = report_cases.hostile_data()
    path = report_cases.write(data, tmp_path_factory.mktemp("hostile"))
    return make_report(weighed_for_report(path)), marks, path


@pytest.fixture(scope="session")
def hostile_html(hostile):
    return as_html(hostile[0])


@pytest.fixture(scope="session")
def hostile_markdown(hostile):
    return as_markdown(hostile[0])


@pytest.fixture(scope="session")
def full_word(full_report):
    return as_word(full_report)


@pytest.fixture(scope="session")
def full_html(full_report):
    return as_html(full_report)
