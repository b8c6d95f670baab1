"""What a sheet of the form is: columns with plain headings, each of which fills a field of a case."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.case.describing import schema_at, words_at
from engine.documents import FieldPath

Kind = Literal["word", "id", "line", "text", "number", "day", "flag", "ids", "numbers", "value", "unread"]
INTRODUCTION, EXAMPLE, LISTS = "How to fill in", "Example (not read)", "Lists"
NOT_READ = (INTRODUCTION, EXAMPLE, LISTS)
"""Sheets of the form that hold no answers."""

HOUSE, VISIT, AREA, SURFACE = "house", "visit", "area", "surface"
PLACES = (HOUSE, VISIT, AREA, SURFACE)
"""For what a sign may hold, in the form's words."""

REPEATS = 20
"""The most repeats of a reading, each in a column of its own."""


@dataclass(frozen=True, slots=True)
class Column:
    """A heading and the field that stands below it, with dots between the parts of its path.

    A column of ``many`` is repeated with numbers behind its heading. ``names`` says whose ids may stand there: they
    are offered from the sheet of that title.
    """

    heading: str
    field: str
    width: int = 12
    note: str = ""
    names: str = ""
    many: bool = False

    @property
    def path(self) -> tuple[str, ...]:
        """The field's path inside its row."""
        return tuple(self.field.split("."))


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet whose rows are the entries of a list of the case; ``where`` names that list from the root on.

    ``needed`` sheets must be there. ``single`` rows are one part of their parent and no list.
    """

    title: str
    where: tuple[str, ...]
    columns: tuple[Column, ...]
    note: str = ""
    needed: bool = False
    single: bool = False

    @property
    def parents(self) -> tuple[Column, ...]:
        """The columns that say to what a row belongs, outermost first; their fields are no fields of the row."""
        return tuple(PARENTS[name] for name in self.where[:-1])

    @property
    def all_columns(self) -> tuple[Column, ...]:
        """Every column, as laid out."""
        return (*self.parents, *self.columns)

    def schema_path(self, column: Column) -> FieldPath:
        """Where the format describes a column's field."""
        path: list[str | int] = []
        for name in self.where:
            path += [name, 0]
        return (*(path[:-1] if self.single else path), *column.path)

    def kind(self, column: Column) -> Kind:
        """What a column holds, as the format has it."""
        return "id" if column in self.parents else kind_at(self.schema_path(column))

    def words(self, column: Column) -> tuple[str, ...]:
        """The fixed words from which a column's answer is chosen; empty where it is no such choice."""
        if column in self.parents:
            return ()
        return ("yes", "no") if self.kind(column) == "flag" else words_at(self.schema_path(column))


def kind_at(path: FieldPath) -> Kind:
    """What stands at a path of the format."""
    node = schema_at(path) or {}
    if "enum" in node:
        return "word"
    if "anyOf" in node:
        return "value"
    if node.get("type") == "array":
        return "numbers" if (schema_at((*path, 0)) or {}).get("type") == "number" else "ids"
    if node.get("type") in ("number", "integer") or "const" in node:
        return "number"
    if node.get("type") == "boolean":
        return "flag"
    if node.get("format") == "date":
        return "day"
    if "pattern" in node and path[-1] != "sha256":
        return "id"
    return "line" if node.get("maxLength", 0) <= 300 else "text"


ONLY = "May be left empty where there is only one."
PARENTS = {
    "areas": Column("Area", "areas", 16, ONLY, names="Areas"),
    "surfaces": Column("Surface", "surfaces", 16, ONLY, names="Surfaces"),
    "visits": Column("Visit", "visits", 12, ONLY, names="Visits"),
    "instruments": Column("Instrument", "instruments", 14, ONLY, names="Instruments"),
    "samples": Column("Sample", "samples", 14, ONLY, names="Samples"),
}
"""The columns that name the part of the case to which a row belongs, by the list it stands in."""
