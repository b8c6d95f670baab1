"""The rule base, and a thin case weighed once and made into a report; the full one is in the conftest of all tests."""

from __future__ import annotations

import pytest

from engine.reporting import make_report
from engine.rulebook import load_rulebook


@pytest.fixture(scope="session")
def book():
    return load_rulebook()


@pytest.fixture(scope="session")
def full(full_material):
    return full_material


@pytest.fixture(scope="session")
def weighed(weighed_for_report):
    return weighed_for_report


@pytest.fixture(scope="session")
def thin(report_cases, weighed_for_report, tmp_path_factory):
    return weighed_for_report(report_cases.write(report_cases.thin_data(), tmp_path_factory.mktemp("thin")))


@pytest.fixture(scope="session")
def thin_report(thin):
    return make_report(thin)
