"""Reports: one content, free of any format, made from a case, its one opinion and the rule base."""

from engine.reporting.blocks import Audience, Report
from engine.reporting.making import make_report
from engine.reporting.material import Material, material

__all__ = ["Audience", "Material", "Report", "make_report", "material"]
