"""Worked cases weighed once each, and their figures by kind."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[4]


@pytest.fixture(scope="session")
def worked(weighed_for_report):
    """Weighs a case of the casebook by its name."""

    @cache
    def found(name):
        (path,) = (ROOT / "casebook").glob(f"*/{name}.yaml")
        return weighed_for_report(path)

    return found


@pytest.fixture(scope="session")
def figures(worked):
    """The figures of one kind of a worked case, over all of its areas."""

    def found(name, kind):
        return [figure for area in worked(name).figures.values() for figure in area if figure.kind == kind]

    return found
