"""Metal in the wall: beads along arrises, which pins take for water where they touch, and the field near them."""

from __future__ import annotations

from engine.synthesis.ranges import Draw
from engine.synthesis.state import Building, Contribution, MetalLine


def metal_bead(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """A plasterer's bead up one arris of the wall, at either end or at a projection, from floor to ceiling."""
    owner, grid = "metal-bead", building.grid
    margin = 40.0
    places = (margin, grid.width_mm - margin, draw.random.uniform(0.2, 0.8) * grid.width_mm)
    x = draw.note("bead-x", float(draw.random.choice(places)), owner)
    line = MetalLine(
        x_mm=x,
        from_y_mm=0.0,
        to_y_mm=grid.height_mm,
        contact=draw("metal-contact", owner),
        pins=draw("metal-pins", owner),
        in_field=draw("metal-field", owner),
        reach_mm=draw("metal-reach", owner),
    )
    return Contribution(owner, metal=(line,))


def dry(draw: Draw, building: Building, rise_mm: float) -> Contribution:
    """Nothing at all: the unevenness of a dry wall is the meters' and the material's own."""
    return Contribution("dry")
