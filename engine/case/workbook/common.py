"""Columns that several sheets have, and the answers of the first sheet and of the signs."""

from __future__ import annotations

from engine.case.workbook.layout import ONLY, PARENTS, Column

IN_WORDS = "A short name of small letters, digits and hyphens, such as north-wall. Other sheets refer to it."
ID = Column("Id", "id", 16, IN_WORDS)
NOTE = Column("Note", "note", 36)
X = Column("x [mm]", "x_mm", 9, "From the left edge of the surface as seen from the room.")
Y = Column("y [mm]", "y_mm", 9, "Upwards from the bottom edge of the surface.")
TO_X, TO_Y = Column("to x [mm]", "to_x_mm", 9), Column("to y [mm]", "to_y_mm", 9)
ON = Column("Surface", "surface", 16, names="Surfaces")
VISIT = Column("Visit", "visit", 12, ONLY, names="Visits")
INSTRUMENT = Column("Instrument", "instrument", 14, names="Instruments")
VALUE = Column("Reading", "value", 10, "On the instrument's own scale.")
REPEATS = Column("Repeat", "repeats", 9, "A further press at the same place, on the same scale.", many=True)
PLACE = Column("Place", "place", 24)
MATERIAL = Column(
    "Material", "material", 16, "Such as lime-plaster; readings compare with dry ones of the same material."
)
DIGEST = Column("SHA-256", "sha256", 20, "The digest of the file; may be left empty.")

DWELLING = "Dwelling"
DWELLING_ROWS = (
    Column("Format of the form", "format", note="Leave it at 1."),
    Column("Case id", "id", note=IN_WORDS),
    Column("Case title", "title", note="What this case is about, on one line."),
    Column("Invented case", "invented", note="yes for a made-up house."),
    Column("Dwelling", "dwelling.title", note="Kind and age of the building."),
    Column("Address", "dwelling.address", note="Left out of exports."),
    Column("Note on the dwelling", "dwelling.note"),
    Column("Client", "commission.client", note="Who asked for the inspection."),
    Column("Brief", "commission.brief", note="What was to be found out, and what was left out."),
    Column("Inspector", "commission.inspector"),
    Column("Qualifications", "commission.qualifications"),
    Column("Interests", "commission.interests", note="Any interest in works that may follow, or none."),
    Column("Reported on", "commission.reported_on", note="The day on which who must act was told of it."),
    Column("Investigation finished on", "commission.investigation_finished_on", note="Empty while it goes on."),
    Column("Note on the case", "note"),
)
"""The rows of the first sheet: one answer of the case each."""

SIGNS = "Signs"
SIGN_QUESTION = Column("Question", "", 46, "How to look stands in the comment of each question.")
SIGN_PLACE = Column(
    "Holds for", "holds-for", 10, "house, visit, area or surface. Then name the visit, area or surface beside it."
)
SIGN_COLUMNS = (
    SIGN_QUESTION,
    Column("Answer", "value", 24, "Empty means not asked. unknown and not-inspected are never read as no."),
    Column("Basis", "basis", 11, "On what it rests: seen, measured, told or inferred."),
    Column("Sureness", "sureness", 12, "Empty means certain."),
    SIGN_PLACE,
    PARENTS["areas"],
    PARENTS["surfaces"],
    VISIT,
    Column("By whom", "by", 16, "Who told it, or who looked."),
    NOTE,
    Column("Private", "private", 9, "yes keeps it out of exports."),
    Column(
        "Attribute", "attribute", 30, "The question's name in a case file; copy the row to answer for another place."
    ),
)
