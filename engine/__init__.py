"""dampwright's library: read a case, load a rule base, weigh the case.

The public names are imported when first used, so that a caller pays only for what it uses.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.case import read_case as read_case
    from engine.opinion import weigh as weigh
    from engine.rulebook import load_rulebook as load_rulebook

__all__ = ["load_rulebook", "read_case", "weigh"]


def __getattr__(name: str) -> Any:
    if name == "read_case":
        from engine.case import read_case

        return read_case
    if name == "load_rulebook":
        from engine.rulebook import load_rulebook

        return load_rulebook
    if name == "weigh":
        from engine.opinion import weigh

        return weigh
    raise AttributeError(f"module 'engine' has no attribute {name!r}")
