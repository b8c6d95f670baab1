"""Many cases: each one weighed by itself, as a pure function from one line to one line of JSON.

The public names are imported when first used, so that a process that only hands out work does not load what weighs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.sweeping.working import sweep_file as sweep_file
    from engine.sweeping.working import sweep_line as sweep_line

__all__ = ["sweep_file", "sweep_line"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        from engine.sweeping import working

        return getattr(working, name)
    raise AttributeError(f"module 'engine.sweeping' has no attribute {name!r}")
