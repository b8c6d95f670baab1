"""The sheets of what was measured."""

from __future__ import annotations

from engine.case.workbook.common import ID, INSTRUMENT, MATERIAL, NOTE, ON, PLACE, REPEATS, VALUE, VISIT, X, Y
from engine.case.workbook.layout import Column, Sheet

MEASURED = (
    Sheet(
        "Readings",
        ("areas", "surfaces", "readings"),
        (
            X,
            Y,
            INSTRUMENT,
            VALUE,
            REPEATS,
            Column("Depth [mm]", "depth_mm", 9, "Of the pin tips below the surface; empty means at the surface."),
            Column("Material", "material", 16, "Where it is another than the surface's."),
            VISIT,
            NOTE,
        ),
        "One row for each place pressed with a meter; at least four heights make a profile.",
    ),
    Sheet(
        "Dry references",
        ("areas", "surfaces", "dry_references"),
        (INSTRUMENT, MATERIAL, VALUE, REPEATS, VISIT, PLACE),
        "Readings on a place known to be dry, of the same material, with the same instrument.",
    ),
    Sheet(
        "Air",
        ("areas", "air"),
        (
            Column("Temperature [°C]", "temperature_c", 13),
            Column("Humidity [% RH]", "humidity_percent", 12),
            Column("Kind", "kind", 9, "A spot value, or a mean over days."),
            Column("Days", "days", 8, "Of a mean only."),
            INSTRUMENT,
            VISIT,
            PLACE,
        ),
        "Room air.",
    ),
    Sheet(
        "Surface temperatures",
        ("areas", "surface_temperatures"),
        (
            Column("Temperature [°C]", "temperature_c", 13),
            ON,
            X,
            Y,
            Column("Tolerance [K]", "tolerance_k", 10, "The thermometer's, plus or minus."),
            INSTRUMENT,
            VISIT,
            PLACE,
        ),
        "Temperatures of surfaces.",
    ),
    Sheet(
        "Samples",
        ("areas", "samples"),
        (
            ID,
            ON,
            X,
            Y,
            Column("Depth from [mm]", "depth_from_mm", 10),
            Column("Depth to [mm]", "depth_to_mm", 10),
            MATERIAL,
            Column("As found [g]", "wet_g", 10),
            Column("At 75 % RH [g]", "conditioned_g", 10),
            Column("Oven-dry [g]", "dry_g", 10),
            Column("Carbide [%]", "carbide_percent", 10),
            VISIT,
            NOTE,
        ),
        "Drilled samples and their masses.",
    ),
    Sheet(
        "Salts",
        ("areas", "samples", "ions"),
        (
            Column("Salt", "name", 14),
            Column("Band", "band", 10, "Of a field strip."),
            Column("Mass [%]", "mass_percent", 10, "Of the dry sample."),
        ),
        "Salts found in samples.",
    ),
    Sheet(
        "Timber",
        ("areas", "timber"),
        (
            ID,
            Column("Item", "item", 16, "Such as joist-end or skirting."),
            INSTRUMENT,
            VALUE,
            REPEATS,
            Column("Timber temperature [°C]", "temperature_c", 13),
            Column("Species", "species", 14),
            Column("Depth [mm]", "depth_mm", 9),
            ON,
            X,
            Y,
            VISIT,
            NOTE,
        ),
        "Readings in timber on a wood scale [%].",
    ),
)
