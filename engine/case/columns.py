"""The columns of a table of readings: which header names what."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from engine.case.tables import Table
from engine.errors import InvalidInput, Problem, nearest
from engine.reading import shown

_NAMES: Mapping[str, str] = {
    "x": "x_mm",
    "x_mm": "x_mm",
    "y": "y_mm",
    "y_mm": "y_mm",
    "height": "height_mm",
    "height_mm": "height_mm",
    "instrument": "instrument",
    "mode": "mode",
    "method": "mode",
    "value": "value",
    "reading": "value",
    "scale": "scale",
    "unit": "unit",
    "units": "unit",
    "material": "material",
    "depth": "depth_mm",
    "depth_mm": "depth_mm",
    "repeat": "repeats",
    "repeats": "repeats",
    "note": "note",
    "notes": "note",
    "point": "point",
    "label": "point",
    "time": "time",
}
_REPEAT = re.compile(r"repeats?_?[0-9]{1,2}")
_LISTED = (
    "x_mm",
    "y_mm or height_mm",
    "instrument or mode",
    "value",
    "scale or unit",
    "material",
    "depth_mm",
    "repeats",
    "note",
    "point",
    "time",
)
_SEVERAL = frozenset({"repeats"})


@dataclass(frozen=True, slots=True)
class Column:
    """A column that counts: its place in each row, its header as written, and the field that it fills."""

    place: int
    header: str
    field: str


def plain(name: object) -> str:
    """A header as it is compared: small letters, with one underscore for spaces, hyphens and brackets."""
    return re.sub(r"[\s_\-()\[\]]+", "_", str(name).casefold()).strip("_")


def field_of(header: str) -> str | None:
    """The field that a header names; None where it names none."""
    name = plain(header)
    return "repeats" if _REPEAT.fullmatch(name) else _NAMES.get(name)


def recognised(header: str) -> bool:
    """Whether a header names a field."""
    return field_of(header) is not None


def columns_of(table: Table, ignored: Collection[str] = ()) -> tuple[Column, ...]:
    """The columns of a table, less those ignored by name.

    InvalidInput with every header that names nothing, repeats a field, or is missing, and every ignored name that
    there is not.
    """
    problems: list[Problem] = []
    found: list[Column] = []
    left_out = {plain(name) for name in ignored}
    headers = [str(cell) if isinstance(cell, (str, float)) else "" for cell in table.header.cells]
    line = table.header.line

    def fault(field: str, what: str, allowed: str, advice: str = "", near: str | None = None) -> None:
        problems.append(Problem(table.name, line, field, what, allowed, advice, near))

    for place, header in enumerate(headers):
        if plain(header) in left_out:
            continue
        field = field_of(header)
        if not header:
            if any(row.cells[place] != "" for row in table.rows):
                fault(f"column {place + 1}", "a column without a name", "a name above every column")
        elif field is None:
            close = nearest(plain(header)[:80], _NAMES)
            advice = "rename it, or say that it is to be ignored"
            fault(header[:40], f"the unknown column {shown(header)}", ", ".join(_LISTED), advice, close)
        elif field not in _SEVERAL and any(column.field == field for column in found):
            fault(header[:40], f"a second column for {field}", "one column for each", "ignore or remove one of the two")
        else:
            found.append(Column(place, header, field))
    fields = {column.field for column in found}
    for allowed, names in _required():
        if not names & fields:
            fault(
                "", f"no column {allowed}", "a column for each of x_mm, height, instrument and value", "add the column"
            )
    for name in ignored:
        if plain(name) not in {plain(header) for header in headers}:
            close = nearest(plain(name)[:80], [plain(header) for header in headers])
            fault("", f"no column {shown(name)} to ignore", ", ".join(headers), "", close)
    if problems:
        raise InvalidInput(problems)
    return tuple(found)


def _required() -> Iterator[tuple[str, frozenset[str]]]:
    yield "x_mm", frozenset({"x_mm"})
    yield "y_mm or height_mm", frozenset({"y_mm", "height_mm"})
    yield "instrument or mode", frozenset({"instrument", "mode"})
    yield "value", frozenset({"value"})
