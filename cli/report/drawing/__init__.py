"""Figures drawn: the same figure gives the same bytes, on any machine, at any hour.

matplotlib is imported when something is drawn, and never its global state.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.reporting.figures import Figure

DPI = 200
"""Dots to the inch of a picture in points of colour."""


def draw_svg(figure: Figure) -> str:
    """A figure as one <svg> element without prolog, self-contained, its ids unique by the figure's own id."""
    from cli.report.drawing.rendering import svg

    return svg(figure)


def draw_png(figure: Figure, dpi: int = DPI) -> bytes:
    """A figure as PNG at so many dots to the inch."""
    from cli.report.drawing.rendering import png

    return png(figure, dpi)
