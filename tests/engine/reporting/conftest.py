"""A full and a thin case, weighed once and made into reports."""

from __future__ import annotations

import pytest

from engine.case import read_case
from engine.reporting import make_report
from engine.reporting.material import material
from engine.rulebook import load_rulebook


@pytest.fixture(scope="session")
def book():
    return load_rulebook()


@pytest.fixture(scope="session")
def weighed(book):
    """Weighs a case file for a report; the quicker chainer, for the answers agree."""

    def weigh(path, **options):
        return material(read_case(path, vocabulary=book), book, folder=path.parent, backend="python", **options)

    return weigh


@pytest.fixture(scope="session")
def full(report_cases, weighed, tmp_path_factory):
    return weighed(report_cases.write(report_cases.full_data(), tmp_path_factory.mktemp("full")))


@pytest.fixture(scope="session")
def thin(report_cases, weighed, tmp_path_factory):
    return weighed(report_cases.write(report_cases.thin_data(), tmp_path_factory.mktemp("thin")))


@pytest.fixture(scope="session")
def full_report(full):
    return make_report(full)


@pytest.fixture(scope="session")
def thin_report(thin):
    return make_report(thin)
