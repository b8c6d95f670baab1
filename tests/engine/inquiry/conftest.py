"""The rule base, a reasoner, an agenda and the states of worked cases, for inquiry."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.case import read_case
from engine.inquiry.agenda import Agenda
from engine.inquiry.knowing import Knowledge
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
def agenda(reasoner):
    return Agenda(reasoner)


@pytest.fixture(scope="session")
def knowledge(reasoner):
    return Knowledge(reasoner)


@pytest.fixture(scope="session")
def worked(rulebook):
    """A worked case by its name."""
    return lambda name: read_case(next(CASEBOOK.glob(f"*/{name}.yaml")), vocabulary=rulebook)


@pytest.fixture(scope="session")
def demo(worked):
    return worked("raised-path")


@pytest.fixture(scope="session")
def full(knowledge, demo):
    """The state of the demonstration case with all its evidence."""
    return knowledge.state(demo, demo.areas[0])


@pytest.fixture(scope="session")
def bare(knowledge, rulebook, full):
    """The same with its readings and without the answers of a person."""
    return knowledge.weighed({name: fact for name, fact in full.facts.items() if name not in rulebook.questions})
