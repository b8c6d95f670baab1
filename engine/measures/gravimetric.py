"""Drilled samples: moisture as found, hygroscopic moisture, free water; wet and dry basis; carbide meter.

Masses in grams [g]. ``wet`` is the mass as found, ``conditioned`` that after equilibrium at 75 % relative humidity,
``dry`` oven-dry. Moistures are percent of dry mass unless the name says *wet basis*. Source: BRE Digest 245,
Appendix A, which uses the wet basis (known through quotations); the formulae from memory.
"""

from __future__ import annotations

from engine.measures.ranges import Number, above, shaped, within


def moisture_content(wet_g: float, dry_g: float) -> float:
    """Moisture content [% of dry mass]: 100·(Ww − Wd)/Wd; masses above 0 g, a wet mass below the dry one refused."""
    _masses(wet_g, dry_g)
    return 100 * (wet_g - dry_g) / dry_g


def moisture_content_wet_basis(wet_g: float, dry_g: float) -> float:
    """Moisture content [% of wet mass]: 100·(Ww − Wd)/Ww; same refusals."""
    _masses(wet_g, dry_g)
    return 100 * (wet_g - dry_g) / wet_g


def wet_to_dry_basis(percent: Number) -> Number:
    """Percent of wet mass to percent of dry mass: 100·w/(100 − w); 0 to 95 %. A carbide scale reads wet basis."""
    wet = within("moisture content, wet basis", percent, 0, 95, "%")
    return shaped(100 * wet / (100 - wet), percent)


def dry_to_wet_basis(percent: Number) -> Number:
    """Percent of dry mass to percent of wet mass: 100·d/(100 + d); 0 to 1900 %."""
    dry = within("moisture content, dry basis", percent, 0, 1900, "%")
    return shaped(100 * dry / (100 + dry), percent)


def free_water(wet_g: float, conditioned_g: float, dry_g: float) -> float:
    """Moisture as found less hygroscopic moisture [% of dry mass]; negative when drier than at 75 % humidity."""
    return moisture_content(wet_g, dry_g) - moisture_content(conditioned_g, dry_g)


def _masses(wet_g: float, dry_g: float) -> None:
    above("wet mass", wet_g, 0, 100_000, "g")
    above("dry mass", dry_g, 0, 100_000, "g")
    if wet_g < dry_g:
        raise ValueError(f"wet mass: found {wet_g:g} g, less than the dry mass; allowed: {dry_g:g} g or more")
