"""Figures of an area as plain data: what is drawn, said and tabulated, and nothing about how it is drawn.

The public names are imported when first used.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.reporting.figures.making import figures_of as figures_of
    from engine.reporting.figures.making import walls_of as walls_of
    from engine.reporting.figures.models import Figure as Figure

_HOMES = {"Figure": "models", "figures_of": "making", "walls_of": "making"}

__all__ = ["Figure", "figures_of", "walls_of"]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'engine.reporting.figures' has no attribute {name!r}")
    return getattr(importlib.import_module(f"engine.reporting.figures.{_HOMES[name]}"), name)
