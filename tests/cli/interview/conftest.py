"""The rule base, a reasoner and the worked cases, for interviews."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.case import read_case
from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook

CASEBOOK = Path(__file__).parents[3] / "casebook"


@pytest.fixture(scope="session")
def rulebook():
    return load_rulebook()


@pytest.fixture(scope="session")
def reasoner(rulebook):
    return Reasoner(rulebook, "python")


@pytest.fixture(scope="session")
def worked(rulebook):
    """A worked case by the name of its file."""

    def read(name):
        return read_case(next(CASEBOOK.glob(f"*/{name}.yaml")), vocabulary=rulebook)

    return read
