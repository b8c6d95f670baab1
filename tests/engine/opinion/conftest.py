"""The tuned cases of the casebook, the reasoners to weigh them with, and the folder in which each case lies."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from engine.case import read_case
from engine.opinion import weigh_with
from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook

CASEBOOK = Path(__file__).parents[3] / "casebook"
FILES = sorted(file for name in ("demo", "regression") for file in (CASEBOOK / name).glob("*.yaml"))
"""The *tuned* cases. The *frozen* ones in ``check`` are only ever reported on, never held to a result."""


def pytest_generate_tests(metafunc):
    if "case_name" in metafunc.fixturenames:
        metafunc.parametrize("case_name", [file.stem for file in FILES])


@pytest.fixture(scope="session")
def rulebook():
    return load_rulebook(cache=False)


@pytest.fixture(scope="session")
def reasoner(rulebook):
    return Reasoner(rulebook)


@pytest.fixture(scope="session")
def python_reasoner(rulebook):
    return Reasoner(rulebook, "python")


@pytest.fixture(scope="session")
def casebook(rulebook):
    """Every worked case by the name of its file."""
    return {file.stem: read_case(file, vocabulary=rulebook) for file in FILES}


@pytest.fixture(scope="session")
def weighed():
    """Weigh a worked case, whole or cut down, with its loggers' files beside it."""
    folders = {file.stem: file.parent for file in FILES}

    def weigh_beside_its_files(by, case, *, exact=False, reasons=True):
        return weigh_with(by, case, folder=folders[case.id], exact=exact, reasons=reasons)

    return weigh_beside_its_files


@pytest.fixture(scope="session")
def casebook_with_folders(casebook):
    """Every worked case with the folder in which it lies."""
    folders = {file.stem: file.parent for file in FILES}
    return [(case, folders[name]) for name, case in casebook.items()]


@pytest.fixture(scope="session")
def opinions(casebook, weighed, reasoner):
    """The opinion on each worked case, formed once: the names of files to opinions."""
    return cache(lambda name: weighed(reasoner, casebook[name]))
