"""Reports: one content, free of any format, made from a case, its one opinion and the rule base.

The public names are imported when first used, so that figures alone do not load what a whole report needs.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.reporting.blocks import Audience as Audience
    from engine.reporting.blocks import Report as Report
    from engine.reporting.making import make_report as make_report

_HOMES = {
    "Audience": "blocks",
    "Report": "blocks",
    "make_report": "making",
}

__all__ = ["Audience", "Report", "make_report"]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'engine.reporting' has no attribute {name!r}")
    return getattr(importlib.import_module(f"engine.reporting.{_HOMES[name]}"), name)
