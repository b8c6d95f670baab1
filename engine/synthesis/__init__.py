"""Synthesis: the one generator of coherent made-up walls and cases, built from the physics of each mechanism.

Nothing of it is evidence of the field: it shows whether the measures read what physics would make them read, and
whether rules, measures and network agree with one another.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.synthesis.cases import make_case as make_case
    from engine.synthesis.cases import make_case_and_logs as make_case_and_logs
    from engine.synthesis.walls import MECHANISMS as MECHANISMS
    from engine.synthesis.walls import MadeWall as MadeWall
    from engine.synthesis.walls import make_wall as make_wall
    from engine.synthesis.walls import make_walls as make_walls

_HOMES = {
    "make_case": "cases",
    "make_case_and_logs": "cases",
    "MECHANISMS": "walls",
    "MadeWall": "walls",
    "make_wall": "walls",
    "make_walls": "walls",
}

__all__ = ["MECHANISMS", "MadeWall", "make_case", "make_case_and_logs", "make_wall", "make_walls"]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(f"engine.synthesis.{_HOMES[name]}"), name)
    raise AttributeError(f"module 'engine.synthesis' has no attribute {name!r}")
