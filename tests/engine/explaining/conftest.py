"""The tuned cases of the casebook as subjects of explanation, each made ready once."""

from __future__ import annotations

import os
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from engine.case import read_case
from engine.explaining.changing import what_would_change
from engine.explaining.subject import subject_of
from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook

CASEBOOK = Path(__file__).parents[3] / "casebook"
FILES = sorted(file for name in ("demo", "regression") for file in (CASEBOOK / name).glob("*.yaml"))
"""The *tuned* cases; the *frozen* ones are never held to a result."""
EVERY_CASE = bool(os.environ.get("EXPLAIN_EVERY_CASE"))
SAMPLE = FILES if EVERY_CASE else FILES[::14]
"""A few of them, for what takes many seconds a case; all of them with EXPLAIN_EVERY_CASE=1, by hand."""
COUNTED: Counter[str] = Counter()
"""How many claims of each kind were checked; printed at the end of a run over every case."""


def pytest_generate_tests(metafunc):
    for name, files in (("case_file", FILES), ("some_case_file", SAMPLE)):
        if name in metafunc.fixturenames:
            metafunc.parametrize(name, files, ids=[file.stem for file in files])


def pytest_terminal_summary(terminalreporter):
    if EVERY_CASE:
        terminalreporter.write_line(f"checked: {dict(sorted(COUNTED.items()))}")


@pytest.fixture(scope="session")
def counted():
    """Counts what was checked, by kind."""
    return COUNTED


@pytest.fixture(scope="session")
def whole_replay():
    """Whether every cause that does not lead is asked about, and not every sixth only."""
    return EVERY_CASE


@pytest.fixture(scope="session")
def rulebook():
    return load_rulebook(cache=False)


@pytest.fixture(scope="session")
def reasoner(rulebook):
    return Reasoner(rulebook, "python")


@pytest.fixture(scope="session")
def subjects(rulebook, reasoner):
    """The areas of a case file, ready to be explained."""

    @cache
    def of(path):
        case = read_case(path, vocabulary=rulebook)
        return tuple(subject_of(reasoner, case, area, path.parent) for area in case.areas)

    return of


@pytest.fixture(scope="session")
def changing():
    """What would change the answer on a subject, searched once."""
    searched: dict[int, object] = {}

    def of(subject):
        if id(subject) not in searched:
            searched[id(subject)] = what_would_change(subject)
        return searched[id(subject)]

    return of


@pytest.fixture
def demo(subjects):
    return subjects(CASEBOOK / "demo" / "raised-path.yaml")[0]


@pytest.fixture
def undetermined(subjects):
    """A case that is not determined, with a lead by a little."""
    return subjects(CASEBOOK / "regression" / "seller-says-rising-damp.yaml")[0]
