"""Synthesis: the one generator of coherent made-up walls, built from the physics of each mechanism.

Nothing of it is evidence of the field: it shows whether the measures read what physics would make them read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.synthesis.walls import MECHANISMS as MECHANISMS
    from engine.synthesis.walls import MadeWall as MadeWall
    from engine.synthesis.walls import make_wall as make_wall
    from engine.synthesis.walls import make_walls as make_walls

__all__ = ["MECHANISMS", "MadeWall", "make_wall", "make_walls"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        from engine.synthesis import walls

        return getattr(walls, name)
    raise AttributeError(f"module 'engine.synthesis' has no attribute {name!r}")
