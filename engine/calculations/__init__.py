"""Single calculations: each of the measures that stands alone, as an entry of one table.

The table costs next to nothing to import: what a calculation needs is loaded when it is carried out.
"""

from __future__ import annotations

from engine.calculations import air, mould, samples, surfaces, vapour_load, walls, wood
from engine.calculations.models import Calculation

CALCULATIONS: dict[str, Calculation] = {
    calculation.id: calculation
    for topic in (air, surfaces, vapour_load, mould, wood, samples, walls)
    for calculation in topic.CALCULATIONS
}
"""Every calculation by its id, in the order of the topics."""

__all__ = ["CALCULATIONS", "Calculation"]
