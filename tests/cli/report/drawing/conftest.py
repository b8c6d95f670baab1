"""One figure of each kind from worked cases, and a way to draw a figure to be measured."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[4]
CASES = {
    "raised-path": ("wall-map", "height-profile", "sample-profile", "climate-strip", "evidence-weights"),
    "flood-drying-over-a-year": ("visit-change",),
    "meter-that-failed-its-check": ("wall-map",),
    "logged-winter-in-a-small-flat": ("climate-strip",),
}


@pytest.fixture(scope="session")
def each_kind(weighed_for_report):
    """A figure of each kind, a map of readings that were set aside and a strip of loggers among them."""
    found = []
    for name, kinds in CASES.items():
        (path,) = (ROOT / "casebook").glob(f"*/{name}.yaml")
        figures = [figure for area in weighed_for_report(path).figures.values() for figure in area]
        found += [next(figure for figure in figures if figure.kind == kind) for kind in kinds]
    return found


@pytest.fixture(scope="session")
def wall_map(each_kind):
    return each_kind[0]


@pytest.fixture
def composed():
    """Composes a figure on a canvas, so that where things stand can be measured."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    from cli.report.drawing.rendering import compose
    from cli.report.drawing.style import settings

    def made(figure):
        with settings(figure.id):
            drawing = compose(figure)
            FigureCanvasAgg(drawing).draw()
        return drawing

    return made
