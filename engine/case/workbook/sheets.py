"""The sheets of the form: which column fills which field of a case, under which plain heading."""

from __future__ import annotations

from collections.abc import Iterator

from engine.case.workbook.common import DIGEST, DWELLING, ID, MATERIAL, NOTE, ON, PLACE, SIGNS, TO_X, TO_Y, VISIT, X, Y
from engine.case.workbook.layout import Column, Sheet
from engine.case.workbook.measured import MEASURED

SHEETS = (
    Sheet(
        "Visits",
        ("visits",),
        (
            ID,
            Column("Day", "on", 12, "Year-month-day, such as 2026-03-11."),
            Column("By", "by", 20),
            Column("Outside temperature [°C]", "outside.temperature_c", 14),
            Column("Outside humidity [% RH]", "outside.humidity_percent", 14),
            NOTE,
        ),
        "Each day on which the building was visited.",
        needed=True,
    ),
    Sheet(
        "Instruments",
        ("visits", "instruments"),
        (
            ID,
            Column("Mode", "mode", 20, "A meter with two modes is listed twice."),
            Column("Scale", "scale", 18, "Readings on masonry are relative on any scale."),
            Column("Top of scale", "full_scale", 10, "A relative scale needs its top."),
            Column("Tolerance", "tolerance", 10, "Plus or minus, on its own scale."),
            Column("Calibrated on", "calibrated_on", 13, "Year-month-day."),
            Column("Serial number", "serial", 16),
            NOTE,
        ),
        "The instruments used on each visit.",
    ),
    Sheet(
        "Checks",
        ("visits", "instruments", "checks"),
        (
            Column("When", "when", 10, "Before or after the readings; empty means before."),
            Column("Should read", "expected", 10),
            Column("Within ±", "tolerance", 10),
            Column("Did read", "result", 10),
        ),
        "Checks of instruments on a known reference, on their own scale.",
    ),
    Sheet(
        "Areas",
        ("areas",),
        (ID, Column("Title", "title", 40, "Where the damp place is."), Column("Note", "note", 50)),
        "Each damp place under question; each gets an opinion of its own.",
        needed=True,
    ),
    Sheet(
        "Surfaces",
        ("areas", "surfaces"),
        (
            ID,
            Column("Kind", "kind", 16),
            Column("Title", "title", 28),
            Column("Width [mm]", "width_mm", 10),
            Column("Height [mm]", "height_mm", 10, "Of a floor or ceiling: its depth."),
            MATERIAL,
            NOTE,
        ),
        "Walls, floors, ceilings and reveals, seen from the room.",
    ),
    Sheet(
        "Zones",
        ("areas", "surfaces", "zones"),
        (ID, MATERIAL, X, Y, TO_X, TO_Y),
        "Rectangles of a surface that are of another material than the rest.",
    ),
    Sheet(
        "Features",
        ("areas", "surfaces", "features"),
        (
            ID,
            Column("Kind", "kind", 24),
            Column("Shape", "shape", 11, "A rectangle between two corners, or a line between two ends."),
            X,
            Y,
            TO_X,
            TO_Y,
            NOTE,
        ),
        "Things on, in or behind a surface: windows, pipes, the ground line outside.",
    ),
    *MEASURED,
    Sheet(
        "Loggers",
        ("areas", "loggers"),
        (
            ID,
            Column("Kind", "kind", 14),
            Column("File", "file", 32, "Beside the workbook, such as loggers/bedroom.csv."),
            Column("Order of dates", "date_order", 14),
            ON,
            PLACE,
            DIGEST,
        ),
        "Series of loggers, in files beside the workbook.",
    ),
    Sheet(
        "Photographs",
        ("areas", "photographs"),
        (
            Column("File", "file", 32, "Beside the workbook, such as photographs/wall.jpg."),
            Column("Caption", "caption", 40),
            Column("What is to be seen", "alt", 40, "In words, for readers who do not see the picture."),
            ON,
            VISIT,
            Column("Private", "private", 9, "yes keeps it out of exports."),
            DIGEST,
        ),
        "Photographs, in files beside the workbook.",
    ),
    Sheet(
        "Not inspected",
        ("areas", "not_inspected"),
        (
            Column("What", "what", 36),
            Column("Why", "why", 36),
            Column("Attributes", "attributes", 40, "Those that stay unknown because of it, with commas between."),
        ),
        "What was not inspected or tested. Without an area it holds for the dwelling.",
    ),
    Sheet(
        "Conclusions",
        ("areas", "conclusion"),
        (
            Column("Causes", "causes", 28, "With commas between; none means no active damp."),
            Column("Sureness", "sureness", 12),
            Column("Blind", "blind", 8, "yes if it was recorded before an opinion was seen."),
            Column("Statement", "statement", 50),
            Column("Reason for difference", "reason_for_difference", 36),
            Column("Signed by", "signed_by", 18),
            Column("Signed on", "signed_on", 12),
            Column("Opinion then: determined", "opinion.determined", 13, "Filled in by the program only."),
            Column("Opinion then: leading", "opinion.leading", 20, "Filled in by the program only."),
            Column("Opinion then: rules", "opinion.rulebook", 20, "Filled in by the program only."),
        ),
        "The inspector's own conclusion on each area; unsigned it stays a draft.",
        single=True,
    ),
)
"""Every sheet of rows but that of the signs; parents stand before what belongs to them."""


def titles() -> Iterator[str]:
    """The titles of the sheets that are read, as laid out."""
    yield DWELLING
    for sheet in SHEETS:
        yield sheet.title
        if sheet.title == "Areas":
            yield SIGNS
