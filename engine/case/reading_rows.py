"""One row of a table as one reading: numbers, instrument, scale, material, every fault of the row at once."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from engine.case.columns import Column
from engine.case.models import Instrument, Surface, Visit
from engine.case.numerals import NotANumber, Numerals
from engine.case.tables import Cell, Row, Table, Unusable
from engine.errors import Problem, nearest
from engine.reading import shown

_NUMBERS = ("x_mm", "y_mm", "height_mm", "value", "depth_mm")
_BETWEEN_REPEATS = re.compile(r"[\s;/|]+")
_SCALES = {
    "wood-percent": "wood-percent",
    "%": "wood-percent",
    "wme": "wood-percent",
    "%-wme": "wood-percent",
    "relative": "relative",
}
_ALLOWED = {"value": "a number on the instrument's scale", "repeats": "numbers with a space or / between them"}
_NEEDED = {"value": "take the row out if the place was not pressed"}


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """A reading as the case will hold it, with its line in the table, its instrument, and the scale stated there."""

    line: int
    instrument: Instrument
    scale: str | None
    data: dict[str, Any]


class RowReader:
    """Reads the rows of a table for one visit and surface; ``problems`` gathers the faults of all rows."""

    def __init__(
        self, table: Table, columns: tuple[Column, ...], numerals: Numerals, visit: Visit, surface: Surface
    ) -> None:
        self.table, self.columns, self.numerals = table, columns, numerals
        self.visit, self.instruments = visit, visit.instruments
        self.materials = known_materials(surface)
        self.problems: list[Problem] = []
        floor = [min(one.y_mm, one.to_y_mm) for one in surface.features if one.kind == "floor-line"]
        column = next((one for one in columns if one.field == "height_mm"), None)
        edge = next((one.place for one in columns if one.field == "y_mm"), None)
        alone = edge is None or any(row.cells[edge] == "" for row in table.rows)
        if column is not None and alone and any(floor):
            found = f"heights, on a surface whose floor line is drawn at {min(floor):g} mm"
            allowed = "y_mm, from the bottom edge of the surface"
            self._fault(table.header.line, column.header, found, allowed, "heights could count from either")

    @staticmethod
    def numbers_written(table: Table, columns: Iterable[Column]) -> Iterator[str]:
        """The texts of a table that stand where numbers should, by which its decimal mark is told."""
        for column in columns:
            if column.field in (*_NUMBERS, "repeats"):
                for row in table.rows:
                    cell = row.cells[column.place]
                    if isinstance(cell, str):
                        yield from _BETWEEN_REPEATS.split(cell) if column.field == "repeats" else (cell,)

    def read(self, row: Row) -> ReadingRow | None:
        """The reading of a row; None, with its faults recorded, where it has any."""
        before = len(self.problems)
        cells = self._usable(row)
        x, value = self._number(row, cells, "x_mm"), self._number(row, cells, "value")
        y = self._height(row, cells)
        instrument, scale = self._instrument(row, cells), self._scale(row, cells)
        data: dict[str, Any] = {"x_mm": x, "y_mm": y, "instrument": instrument and instrument.id, "value": value}
        data["repeats"] = self._repeats(row, cells)
        data["depth_mm"] = self._number(row, cells, "depth_mm", needed=False)
        data["material"] = self._material(row, cells)
        data["note"] = self._note(row, cells)
        if len(self.problems) > before or instrument is None:
            return None
        return ReadingRow(
            row.line, instrument, scale, {name: one for name, one in data.items() if one not in (None, [])}
        )

    def _usable(self, row: Row) -> dict[str, list[tuple[str, str | float]]]:
        """The cells of a row by field, each with its header; what is neither text nor number is a fault."""
        cells: dict[str, list[tuple[str, str | float]]] = {column.field: [] for column in self.columns}
        for column in self.columns:
            cell: Cell = row.cells[column.place]
            if isinstance(cell, Unusable):
                allowed = _ALLOWED.get(column.field, "text or a number")
                self._fault(row.line, column.header, cell.found, allowed, cell.advice)
                cells[column.field].append((column.header, math.nan))
            elif cell != "":
                cells[column.field].append((column.header, cell))
        return cells

    def _number(
        self, row: Row, cells: dict[str, list[tuple[str, str | float]]], field: str, *, needed: bool = True
    ) -> float | None:
        given = cells.get(field)
        allowed = _ALLOWED.get(field, "a number of mm")
        if not given:
            if needed:
                self._fault(row.line, field, "nothing", allowed, _NEEDED.get(field, ""))
            return None
        header, cell = given[0]
        return self._read(row, header, cell, allowed)

    def _height(self, row: Row, cells: dict[str, list[tuple[str, str | float]]]) -> float | None:
        """The height of a place; where a table gives it as y_mm and as height_mm, both must say the same."""
        fields = [field for field in ("y_mm", "height_mm") if cells.get(field)]
        if not fields:
            return self._number(row, cells, "height_mm" if "height_mm" in cells else "y_mm")
        heights = [self._number(row, cells, field) for field in fields]
        if len(heights) == 2 and None not in heights and heights[0] != heights[1]:
            found = f"y {heights[0]:g} and height {heights[1]:g}"
            self._fault(row.line, cells["height_mm"][0][0], found, "one height", "ignore or remove one of the columns")
        return heights[0]

    def _read(self, row: Row, header: str, cell: str | float, allowed: str) -> float | None:
        try:
            number = self.numerals.number(cell) if isinstance(cell, str) else cell
        except NotANumber as fault:
            self._fault(row.line, header, fault.found, allowed, fault.advice)
            return None
        if not math.isfinite(number):  # its fault is told already
            return None
        return int(number) if number.is_integer() else number

    def _repeats(self, row: Row, cells: dict[str, list[tuple[str, str | float]]]) -> list[float]:
        found: list[float] = []
        for header, cell in cells.get("repeats", ()):
            parts: list[str | float] = (
                [*filter(None, _BETWEEN_REPEATS.split(cell))] if isinstance(cell, str) else [cell]
            )
            numbers = [self._read(row, header, part, _ALLOWED["repeats"]) for part in parts]
            found += [number for number in numbers if number is not None]
        return found

    def _instrument(self, row: Row, cells: dict[str, list[tuple[str, str | float]]]) -> Instrument | None:
        found: list[Instrument] = []
        given = [(field, *one) for field in ("instrument", "mode") for one in cells.get(field, ())]
        for field, header, cell in given:
            name = _slug(cell)
            of_mode = [one for one in self.instruments if one.mode == name]
            of_id = [one for one in self.instruments if one.id in (name, cell)]
            matches = (of_id or of_mode) if field == "instrument" else (of_mode or of_id)
            if len(matches) == 1:
                found.append(matches[0])
                continue
            listed = ", ".join(f"{one.id} ({one.mode})" for one in self.instruments) or "none; list them in the visit"
            said = f"{shown(cell)}, which stands for several instruments" if matches else f"the unknown {shown(cell)}"
            close = None if matches else nearest(name[:80], [one.id for one in self.instruments])
            self._fault(row.line, header, said, f"an instrument of the visit: {listed}", "", close)
        if not given:
            fields = [field for field in ("instrument", "mode") if field in cells]
            self._fault(row.line, fields[0], "nothing", "an instrument of the visit")
        if len(found) == 2 and found[0] is not found[1]:
            said = f"the instrument {found[0].id} with the mode of {found[1].id}"
            self._fault(row.line, given[1][1], said, f"{found[0].mode}, or the other instrument")
        return found[0] if found else None

    def _scale(self, row: Row, cells: dict[str, list[tuple[str, str | float]]]) -> str | None:
        """The scale that the columns scale and unit state; both may, if they mean the same."""
        found: str | None = None
        for header, cell in (*cells.get("scale", ()), *cells.get("unit", ())):
            scale = _SCALES.get(_slug(cell))
            if scale is None:
                close = nearest(_slug(cell)[:80], _SCALES)
                self._fault(row.line, header, shown(cell), "wood-percent (or %, WME) or relative", "", close)
            elif found is not None and scale != found:
                self._fault(row.line, header, f"{shown(cell)} on the scale {found}", "a unit of that scale, or nothing")
            found = found or scale
        return found

    def _material(self, row: Row, cells: dict[str, list[tuple[str, str | float]]]) -> str | None:
        for header, cell in cells.get("material", ()):
            name = _slug(cell)
            close = nearest(name[:80], self.materials)
            if name not in self.materials and close:
                allowed = f"the materials of this surface: {', '.join(sorted(self.materials))}"
                advice = "if it is another material, give the surface a zone of it first"
                self._fault(row.line, header, shown(cell), allowed, advice, close)
            return name
        return None

    def _note(self, row: Row, cells: dict[str, list[tuple[str, str | float]]]) -> str | None:
        """What a reading's note keeps: the name of its point, the time of day, and the note itself."""
        parts = [f"point {_text(cell)}" for _, cell in cells.get("point", ())]
        parts += [f"at {found}" for header, cell in cells.get("time", ()) if (found := self._time(row, header, cell))]
        for header, cell in cells.get("note", ()):
            if self.table.separator == "," and isinstance(cell, str) and re.fullmatch(r"[0-9]+", cell):
                advice = "is it what follows a decimal comma? such a number must stand in quotes"
                self._fault(row.line, header, f"a note that is a number, {shown(cell)}", "words", advice)
                return None
            parts.append(_text(cell))
        return "; ".join(parts) or None

    def _time(self, row: Row, header: str, cell: str | float) -> str | None:
        """The time of day, in ISO 8601; with a date, which must be the day of the visit."""
        text = _text(cell)
        day, _, clock = text.replace("T", " ").rpartition(" ")
        try:
            found = time.fromisoformat(clock)
            taken_on = date.fromisoformat(day) if day else None
        except ValueError:
            self._fault(row.line, header, shown(cell), "a time such as 10:40 or 2026-03-12T10:40", "ISO 8601")
            return None
        if taken_on is not None and taken_on != self.visit.on:
            allowed = f"{self.visit.on.isoformat()}, the day of the visit {self.visit.id}"
            self._fault(row.line, header, shown(cell), allowed, "name the visit on which it was read")
            return None
        return found.isoformat(timespec="minutes" if found.second == 0 else "seconds")

    def _fault(
        self, line: int, field: str, found: str, allowed: str, advice: str = "", near: str | None = None
    ) -> None:
        self.problems.append(Problem(self.table.name, line, field[:40], found, allowed, advice, near))


def known_materials(surface: Surface) -> frozenset[str]:
    """The materials that a surface names: its own, those of its zones, dry references and readings."""
    named = [surface.material, *(zone.material for zone in surface.zones)]
    named += [one.material for one in surface.dry_references]
    return frozenset([*named, *(one.material for one in surface.readings if one.material)])


def _text(cell: str | float) -> str:
    return cell if isinstance(cell, str) else f"{cell:g}"


def _slug(cell: str | float) -> str:
    return "-".join(_text(cell).casefold().replace("_", " ").split())
