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
    from engine.reporting.material import Material as Material
    from engine.reporting.material import material as material

_HOMES = {
    "Audience": "blocks",
    "Material": "material",
    "Report": "blocks",
    "make_report": "making",
    "material": "material",
}

__all__ = ["Audience", "Material", "Report", "make_report", "material"]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'engine.reporting' has no attribute {name!r}")
    return getattr(importlib.import_module(f"engine.reporting.{_HOMES[name]}"), name)
