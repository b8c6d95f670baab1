"""From a figure to SVG or PNG through matplotlib's Agg and SVG backends."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.reporting.figures import Figure


def svg(figure: Figure) -> str:
    """A figure as one <svg> element."""
    raise NotImplementedError(figure.kind)


def png(figure: Figure, dpi: int) -> bytes:
    """A figure as PNG."""
    raise NotImplementedError(figure.kind, dpi)
