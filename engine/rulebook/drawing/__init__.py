"""Maps of a rule base: causes, findings, rules and steps, as SVG and as Mermaid text."""

from engine.rulebook.drawing.mermaid import mermaid
from engine.rulebook.drawing.selecting import Link, Map, Spot, chart
from engine.rulebook.drawing.svg import svg

__all__ = ["Link", "Map", "Spot", "chart", "mermaid", "svg"]
