"""The tuned cases of the casebook, and the audit of any conclusion on any of their areas."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.case import read_case
from engine.challenging import challenge
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import gather
from engine.rulebook import load_rulebook

CASEBOOK = Path(__file__).parents[3] / "casebook"
FILES = sorted(file for name in ("demo", "regression") for file in (CASEBOOK / name).glob("*.yaml"))
"""The *tuned* cases. The *frozen* ones in ``check`` are held to no result."""


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
def casebook(rulebook):
    """Every worked case by the name of its file."""
    return {file.stem: read_case(file, vocabulary=rulebook) for file in FILES}


@pytest.fixture(scope="session")
def known(reasoner, casebook):
    """All that is known of an area before any rule about findings runs; gathered once."""
    folders = {file.stem: file.parent for file in FILES}
    gathered = {}

    def known_of(name, area):
        if (name, area.id) not in gathered:
            gathered[name, area.id] = gather(reasoner, casebook[name], area, folders[name])
        return gathered[name, area.id]

    return known_of


@pytest.fixture(scope="session")
def audited(reasoner, casebook, known):
    """The audit of a conclusion on an area of a worked case; each is made once."""
    audits = {}

    def audit(name, area_id, held, grounds=()):
        wanted = (name, area_id, tuple(held), tuple(grounds))
        if wanted not in audits:
            area = next(area for area in casebook[name].areas if area.id == area_id)
            audits[wanted] = challenge(reasoner, area, known(name, area), tuple(held), tuple(grounds))
        return audits[wanted]

    return audit


@pytest.fixture
def keys(casebook, case_name):
    """The answers for the areas of a worked case."""
    return casebook[case_name].key.areas
