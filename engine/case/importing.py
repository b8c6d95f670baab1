"""Readings from a table into a case: all of them or none, every fault with its row, and the case sound afterwards."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from engine.case.columns import Column, columns_of
from engine.case.models import Area, Case, Instrument, Surface, Visit
from engine.case.numerals import Numerals
from engine.case.parts import LISTED
from engine.case.reading import parse_case
from engine.case.reading_rows import ReadingRow, RowReader, known_materials
from engine.case.tables import Table
from engine.case.vocabulary import Vocabulary
from engine.documents import Document, FieldPath, readable
from engine.errors import InvalidInput, Problem, nearest
from engine.reading import shown

_METRES = 0.01
"""Places within this share of a surface were not meant in millimetres."""


@dataclass(frozen=True, slots=True)
class InstrumentSpan:
    """What one instrument read: number of places, lowest and highest value on its own scale."""

    instrument: Instrument
    places: int
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True)
class Imported:
    """Readings ready to be written: the case with them, where they go, and how the table was understood."""

    document: Document
    case: Case
    area: Area
    surface: Surface
    visit: Visit
    path: FieldPath
    readings: tuple[Mapping[str, Any], ...]
    lines: tuple[int, ...]
    table: Table
    columns: tuple[Column, ...]
    ignored: tuple[str, ...]
    decimal_mark: str | None
    instruments: tuple[InstrumentSpan, ...]
    remarks: tuple[str, ...]

    @property
    def columns_filled(self) -> tuple[str, ...]:
        """The fields that any of the readings has, in the order in which a case gives them."""
        return tuple(dict.fromkeys(name for reading in self.readings for name in reading))


def import_readings(
    document: Document,
    table: Table,
    *,
    area: str | None = None,
    surface: str | None = None,
    visit: str | None = None,
    ignored: Collection[str] = (),
    vocabulary: Vocabulary | None = None,
) -> Imported:
    """A table's readings put into the case of a document, which must be sound; the document itself stays as it is.

    ``area``, ``surface`` and ``visit`` are ids and may be left out where there is only one. Lengths are in mm; where
    the surface has a floor line above its bottom edge, heights must be given as y_mm. InvalidInput with every fault:
    of the case, else of the place and the columns, else of the rows, each row's with its line in the table.
    """
    case = parse_case(document, vocabulary)
    place = _Place(document, case, area, surface, visit)
    columns = columns_of(table, ignored)
    numerals = Numerals(RowReader.numbers_written(table, columns), table.separator)
    reader = RowReader(table, columns, numerals, place.visit, place.surface)
    rows = [found for row in table.rows if (found := reader.read(row)) is not None]
    problems = reader.problems
    problems += _scales(table, rows)
    problems += _in_metres(table, rows, place.surface)
    sound = list(_once(table, rows, place, problems))
    if visit is not None or len(case.visits) > 1:
        for row in sound:
            row.data["visit"] = place.visit.id
    extended = place.extended(document, [row.data for row in sound])
    try:
        case = parse_case(extended, vocabulary)
    except InvalidInput as faults:
        problems += _by_row(faults.problems, place.path, place.count, table, sound)
    if problems:
        raise InvalidInput(_limited(table.name, problems))
    return Imported(
        document=extended,
        case=case,
        area=place.area,
        surface=place.surface,
        visit=place.visit,
        path=place.path,
        readings=tuple(row.data for row in sound),
        lines=tuple(row.line for row in sound),
        table=table,
        columns=columns,
        ignored=tuple(ignored),
        decimal_mark=numerals.mark,
        instruments=tuple(_spans(sound, place.visit)),
        remarks=(*table.remarks, *_remarks(sound, place.surface)),
    )


class _Place:
    """Where the readings go: area, surface and visit of a case, each by id or because it is the only one."""

    def __init__(
        self, document: Document, case: Case, area: str | None, surface: str | None, visit: str | None
    ) -> None:
        problems: list[Problem] = []
        found_area = _chosen("area", area, case.areas, document.name, problems)
        found_visit = _chosen("visit", visit, case.visits, document.name, problems)
        surfaces = case.areas[found_area].surfaces if found_area is not None else ()
        found_surface = None
        if found_area is not None:
            found_surface = _chosen("surface", surface, surfaces, document.name, problems)
        if problems or found_area is None or found_surface is None or found_visit is None:
            raise InvalidInput(problems)
        self.area, self.surface, self.visit = case.areas[found_area], surfaces[found_surface], case.visits[found_visit]
        self.single_visit = len(case.visits) == 1
        self.path: FieldPath = ("areas", found_area, "surfaces", found_surface, "readings")
        self.count = len(self.surface.readings)
        self.document = document

    def extended(self, document: Document, readings: list[dict[str, Any]]) -> Document:
        """The document with readings added at the end of the surface's; nothing of the first is changed."""
        data = _appended(document.data, self.path, readings)
        return Document(document.name, data, document.lines)


def _appended(data: Any, path: FieldPath, readings: list[dict[str, Any]]) -> Any:
    if not path:
        return [*(data or ()), *readings]
    step, rest = path[0], path[1:]
    if isinstance(data, list) and isinstance(step, int):
        return [*data[:step], _appended(data[step], rest, readings), *data[step + 1 :]]
    return {**data, step: _appended(data.get(step), rest, readings)}


def _chosen(
    kind: str, name: str | None, among: Iterable[Area | Surface | Visit], file: str, problems: list[Problem]
) -> int | None:
    ids = [one.id for one in among]
    if name in ids:
        return ids.index(name)
    if name is None and len(ids) == 1:
        return 0
    allowed = f"one of {', '.join(ids[:20])}" if ids else f"a {kind}; the case has none there"
    found = f"no {kind} named, though there are several" if name is None else f"the unknown {kind} {shown(name)}"
    if not ids:
        found = f"no {kind}"
    close = nearest(name[:80], ids) if name else None
    problems.append(Problem(file, None, kind, found, allowed, f"name the {kind}" if name is None else "", close))
    return None


def _scales(table: Table, rows: Iterable[ReadingRow]) -> Iterator[Problem]:
    """Scales stated in the table that differ within one instrument, or from the instrument's own."""
    first: dict[str, tuple[str, int]] = {}
    for row in rows:
        if row.scale is None:
            continue
        stated, line = first.setdefault(row.instrument.id, (row.scale, row.line))
        if row.scale != stated:
            found = f"the scale {row.scale} for {row.instrument.id}, which line {line} gives as {stated}"
            advice = "list a meter that was used on two scales as two instruments"
            yield Problem(table.name, row.line, "scale", found, "one scale for one instrument", advice)
        elif row.scale != row.instrument.scale:
            found = f"the scale {row.scale} for {row.instrument.id}"
            allowed = f"{row.instrument.scale}, as the case has it"
            yield Problem(table.name, row.line, "scale", found, allowed, "correct the table or the case")


def _in_metres(table: Table, rows: list[ReadingRow], surface: Surface) -> Iterator[Problem]:
    for field, extent in (("x_mm", surface.width_mm), ("y_mm", surface.height_mm)):
        places = {row.data[field] for row in rows}
        if len(places) > 1 and max(places) <= _METRES * extent:
            found = f"places up to {max(places):g} mm only, on a surface of {extent:g} mm"
            yield Problem(table.name, table.header.line, field, found, "lengths in mm", "are they in metres?")


def _once(table: Table, rows: Iterable[ReadingRow], place: _Place, problems: list[Problem]) -> Iterator[ReadingRow]:
    """The rows of places that were not read before, on an earlier row or in the case."""
    lines = place.document.lines
    first: dict[tuple[object, ...], str] = {}
    for position, reading in enumerate(place.surface.readings):
        if (reading.visit or (place.visit.id if place.single_visit else None)) == place.visit.id:
            where = f"line {lines.get((*place.path, position), '?')} of {place.document.name}"
            first.setdefault((reading.x_mm, reading.y_mm, reading.depth_mm, reading.instrument), where)
    for row in rows:
        key = (row.data["x_mm"], row.data["y_mm"], row.data.get("depth_mm", 0.0), row.instrument.id)
        earlier = first.setdefault(key, f"line {row.line}")
        if earlier == f"line {row.line}":
            yield row
            continue
        found = f"a second reading at the same place with {row.instrument.id} (the first is on {earlier})"
        allowed = "one row for each place, depth and instrument"
        problems.append(Problem(table.name, row.line, "", found, allowed, "put further presses into repeats"))


def _by_row(
    problems: Iterable[Problem], path: FieldPath, count: int, table: Table, rows: list[ReadingRow]
) -> Iterator[Problem]:
    """Faults that the case has with the readings, told of the table's rows."""
    pattern = re.compile(re.escape(readable(path)) + r"\[([0-9]+)\]\.?(.*)")
    for fault in problems:
        match = pattern.fullmatch(fault.field)
        if match and int(match[1]) >= count:
            row = rows[int(match[1]) - count]
            yield Problem(table.name, row.line, match[2], fault.found, fault.allowed, fault.advice, fault.nearest)
        else:
            yield fault


def _limited(name: str, problems: list[Problem]) -> list[Problem]:
    kept = sorted(problems, key=Problem.order)[:LISTED]
    if len(problems) > LISTED:
        found = f"{len(problems) - LISTED} more faults that are not listed"
        kept.append(Problem(name, None, "", found, "", "mend those listed first"))
    return kept


def _spans(rows: Iterable[ReadingRow], visit: Visit) -> Iterator[InstrumentSpan]:
    values: dict[str, list[tuple[float, ...]]] = {}
    for row in rows:
        values.setdefault(row.instrument.id, []).append((row.data["value"], *row.data.get("repeats", ())))
    for instrument in visit.instruments:
        if instrument.id in values:
            every = [value for presses in values[instrument.id] for value in presses]
            yield InstrumentSpan(instrument, len(values[instrument.id]), min(every), max(every))


def _remarks(rows: Iterable[ReadingRow], surface: Surface) -> Iterator[str]:
    named = {str(row.data["material"]) for row in rows if "material" in row.data}
    for material in sorted(named - known_materials(surface)):
        yield f"the material {material} is named nowhere else on this surface: it needs a dry reference of its own"
