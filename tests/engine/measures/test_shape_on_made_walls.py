"""Shapes named on walls made from the physics of their mechanisms; the long form is in tests/soak."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

FIRST_SEED, WALLS = 40_000, 300
"""Seeds that served for no design (those were 1000 to 1999, 3000 to 3999 and 5000 to 5999)."""

LEAST_RECALL, MOST_WRONG = 0.90, 0.03
"""What is asked of the naming of shapes, over many walls."""


def scoring():
    path = Path(__file__).parents[2] / "shape_scoring.py"
    spec = importlib.util.spec_from_file_location("shape_scoring_short", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def score(parameters):
    return scoring().score_range(FIRST_SEED, WALLS, parameters)


def test_hardly_any_made_wall_is_given_a_wrong_shape(score):
    """At most 3 %, allowing three standard errors for so few walls."""
    assert score.wrong_share <= MOST_WRONG + 3 * (MOST_WRONG * (1 - MOST_WRONG) / WALLS) ** 0.5, score.text()


def test_most_made_walls_that_show_a_shape_are_given_it(score):
    """Over all shapes together: the few walls of each say little on their own."""
    shown = sum(score.table[shape].total() for shape in scoring().SHAPES if shape in score.table)
    given = sum(score.table[shape][shape] for shape in scoring().SHAPES if shape in score.table)
    assert given / shown >= LEAST_RECALL - 3 * (LEAST_RECALL * (1 - LEAST_RECALL) / shown) ** 0.5, score.text()


def test_the_table_counts_every_wall_once(score):
    assert sum(row.total() for row in score.table.values()) == WALLS == score.walls
    assert f"{WALLS} walls" in score.text()
