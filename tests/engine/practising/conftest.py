"""The rule base and a reasoner, for practice."""

from __future__ import annotations

import pytest

from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook


@pytest.fixture(scope="session")
def rulebook():
    return load_rulebook()


@pytest.fixture(scope="session")
def reasoner(rulebook):
    return Reasoner(rulebook, "python")
