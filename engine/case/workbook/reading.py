"""A filled-in form read as the document that a case file would be: every fault with sheet and cell, all at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from engine.case.describing import allowed_at, schema_at
from engine.case.numerals import Numerals
from engine.case.parts import Faults
from engine.case.tables import Row
from engine.case.workbook.cells import Unreadable, blank, converted, number_text
from engine.case.workbook.common import DWELLING, DWELLING_ROWS, SIGN_COLUMNS, SIGN_PLACE, SIGNS
from engine.case.workbook.document import Spot, WorkbookDocument
from engine.case.workbook.headings import Entry, Line, Ruled, ruled
from engine.case.workbook.layout import (
    AREA,
    HOUSE,
    NOT_READ,
    PARENTS,
    PLACES,
    SURFACE,
    VISIT,
    Column,
    Kind,
    Sheet,
    kind_at,
)
from engine.case.workbook.sheets import SHEETS, titles
from engine.case.workbooks import read_sheets
from engine.documents import FieldPath
from engine.errors import InvalidInput, Problem, nearest
from engine.reading import shown

_LABEL, _ANSWER, _HELP = Column("Item", "item"), Column("Answer", "answer"), Column("How to fill in", "how")
DWELLING_COLUMNS = (_LABEL, _ANSWER, _HELP)
"""The columns of the first sheet."""

_TELLING = ("value", "note", "by")
"""A sign of which none of these is filled is one that was not asked."""

_LISTS = {HOUSE: (), VISIT: ("visits",), AREA: ("areas",), SURFACE: ("areas", "surfaces")}


def read_form(path: Path) -> tuple[WorkbookDocument, Faults]:
    """The document in a filled-in form, and the faults found so far, for `parse_case` to add to.

    InvalidInput for what is no workbook or is too large (see `read_sheets`), or when it has not the form's sheets.
    """
    reader = _Reader(path, read_sheets(path, NOT_READ))
    reader.read()
    return reader.document, reader.faults


class _Reader:
    def __init__(self, path: Path, sheets: Mapping[str, Sequence[Row]]) -> None:
        self.name = str(path)
        self.data: dict[str, Any] = {}
        self.spots: dict[FieldPath, Spot] = {}
        self.document = WorkbookDocument(self.name, self.data, {}, self.spots)
        self.faults = Faults(self.document)
        self._check_titles(sheets)
        layout: dict[str, tuple[Column, ...]] = {DWELLING: DWELLING_COLUMNS, SIGNS: SIGN_COLUMNS}
        layout |= {sheet.title: sheet.all_columns for sheet in SHEETS}
        self.ruled = {title: ruled(self.name, title, layout[title], sheets.get(title, ())) for title in titles()}
        self.faults.problems += [problem for one in self.ruled.values() for problem in one.problems]
        self.numerals = Numerals(self._numbers_written())

    def read(self) -> None:
        """Fill the document from every sheet, parents before what belongs to them."""
        self._dwelling(self.ruled[DWELLING])
        for sheet in SHEETS:
            found = self.ruled[sheet.title]
            if sheet.needed:
                self.spots[sheet.where] = Spot(sheet.title, "A2", 2)
            self._lacking(sheet, found)
            for line in found.lines:
                self._row(sheet, line, found.lacking)
        for line in self.ruled[SIGNS].lines:
            if any(self._filled(line.entry(field)) for field in _TELLING):
                self._sign(line)

    def _check_titles(self, sheets: Mapping[str, Sequence[Row]]) -> None:
        known = [*titles(), *NOT_READ]
        problems = [
            Problem(self.name, None, "sheet", f"no sheet {title}", "the sheets of the form", "do not rename sheets")
            for title in (DWELLING, *(sheet.title for sheet in SHEETS if sheet.needed))
            if title not in sheets
        ]
        for title, rows in sheets.items():
            if title not in known and not all(blank(cell) for row in rows for cell in row.cells):
                close, allowed = nearest(title[:80], known), f"the sheets {', '.join(known)}"
                found, advice = f"the unknown sheet {shown(title)}", "rename it, or take it out"
                problems.append(Problem(self.name, None, "sheet", found, allowed, advice, close))
        if any(problem.found.startswith("no sheet") for problem in problems):
            raise InvalidInput(problems)
        self.faults.problems += problems

    def _numbers_written(self) -> Iterator[str]:
        kinds: dict[str, dict[str, Kind]] = {
            sheet.title: {column.field: sheet.kind(column) for column in sheet.columns} for sheet in SHEETS
        }
        kinds[SIGNS] = {"value": "value"}
        for title, fields in kinds.items():
            for line in self.ruled[title].lines:
                for entry in line.entries:
                    text = number_text(fields.get(entry.column.field, "unread"), entry.cell)
                    if text is not None:
                        yield text

    def _lacking(self, sheet: Sheet, found: Ruled) -> None:
        """Tell once of a column without which no row can be read."""
        for column in found.lacking if found.lines else ():
            row = schema_at(sheet.schema_path(column)[: -len(column.path)]) or {}
            if column in sheet.columns and column.field in row.get("required", ()):
                self._tell(sheet.title, None, f"no column {shown(column.heading)}", "the columns of the form", "add it")

    def _dwelling(self, found: Ruled) -> None:
        known = {row.heading.casefold(): row for row in DWELLING_ROWS}
        given: set[str] = set()
        for line in found.lines:
            label, answer = line.entry(_LABEL.field), line.entry(_ANSWER.field)
            if label is None or answer is None:
                self._tell(DWELLING, line.entries[0], "no column Item, or none Answer", "both", "add it")
                return
            row = known.get(str(label.cell).strip().casefold())
            if row is None:
                names = [row.heading for row in DWELLING_ROWS]
                what = f"the unknown item {shown(str(label.cell))}"
                self._tell(DWELLING, label, what, f"one of {', '.join(names)}", near=str(label.cell), names=names)
            elif row.field in given:
                self._tell(DWELLING, label, f"a second row {shown(row.heading)}", "each item once")
            else:
                given.add(row.field)
                self._fill((), row.path, kind_at(row.path), answer, Spot(DWELLING, answer.name, line.row, row.heading))

    def _row(self, sheet: Sheet, line: Line, lacking: Sequence[Column]) -> None:
        if all(blank(entry.cell) for entry in line.entries):
            return
        area = line.entry("areas")
        if sheet.title == "Not inspected" and not self._filled(area):
            parent: FieldPath | None = ("dwelling",)
        else:
            parent = self._parent(sheet.title, sheet.where[:-1], line)
        if parent is None:
            return
        holder = self._at(parent)
        if sheet.single:
            path = (*parent, sheet.where[-1])
            if sheet.where[-1] in holder:
                self._tell(sheet.title, line.entries[0], "a second row for the same area", "one row for each area")
                return
            holder[sheet.where[-1]] = {}
        else:
            entries = holder.setdefault(sheet.where[-1], [])
            path = (*parent, sheet.where[-1], len(entries))
            entries.append({})
        self.spots[path] = Spot(sheet.title, line.entries[0].name, line.row)
        self.faults.places |= {(*path, *column.path) for column in lacking}
        for entry in line.entries:
            if entry.column in sheet.columns:
                self._fill(
                    path, entry.column.path, sheet.kind(entry.column), entry, self._spot(sheet.title, line, entry)
                )

    def _sign(self, line: Line) -> None:
        place, where = line.entry(SIGN_PLACE.field), None
        if place is not None and self._filled(place):
            where = str(place.cell).strip().lower()
        if place is None or where not in PLACES:
            what = shown(str(place.cell)) if place is not None and where else "an empty cell"
            allowed = f"one of {', '.join(PLACES)}"
            self._tell(SIGNS, place or line.entries[0], what, allowed, near=where or "", names=PLACES)
            return
        for field in {HOUSE: ("areas", "surfaces"), AREA: ("surfaces",), VISIT: ("areas", "surfaces")}.get(where, ()):
            extra = line.entry(field)
            if extra is not None and self._filled(extra):
                advice = f"empty it, or let it hold for the {extra.heading.lower()}"
                what = f"{shown(str(extra.cell))} for a sign that holds for the {where}"
                self._tell(SIGNS, extra, what, "an empty cell", advice)
                return
        parent = ("dwelling",) if where == HOUSE else self._parent(SIGNS, _LISTS[where], line)
        if parent is None:
            return
        facts = self._at(parent).setdefault("facts", [])
        path = (*parent, "facts", len(facts))
        facts.append({})
        self.spots[path] = Spot(SIGNS, line.entries[0].name, line.row)
        for entry in line.entries:
            field = entry.column.field
            kind = kind_at(("areas", 0, "facts", 0, field)) if field and entry.column is not SIGN_PLACE else "unread"
            if entry.column in PARENTS.values() or kind == "unread" or (field == "visit" and where == VISIT):
                continue
            self._fill(path, (field,), kind, entry, self._spot(SIGNS, line, entry))

    def _parent(self, title: str, lists: Sequence[str], line: Line) -> FieldPath | None:
        """The part to which a row belongs: the one it names, or the only one; None with a fault when there is none."""
        path: FieldPath = ()
        for name in lists:
            parts = [part for part in self._at(path).get(name, []) if isinstance(part, dict)]
            ids = [str(part.get("id", "")) for part in parts]
            heading = PARENTS[name].heading.lower()
            entry = line.entry(name) or line.entry(heading)
            wanted = str(getattr(entry.cell, "found", entry.cell)).strip() if entry else ""
            if entry is not None and isinstance(entry.cell, float) and entry.cell.is_integer():
                wanted = str(int(entry.cell))
            if wanted in ids or (not wanted and len(ids) == 1):
                path = (*path, name, ids.index(wanted) if wanted else 0)
                continue
            found = f"the unknown {heading} {shown(wanted)}" if wanted else "an empty cell"
            allowed = f"one of {', '.join(ids[:20])}" if ids else f"a row on the sheet {PARENTS[name].names} first"
            self._tell(title, entry or line.entries[0], found, allowed, near=wanted, names=ids)
            return None
        return path

    def _fill(self, base: FieldPath, field: tuple[str, ...], kind: Kind, entry: Entry, spot: Spot) -> None:
        path = (*base, *field)
        many = kind == "numbers"
        if many:
            path = (*path, len(self._at(base).get(field[-1], ())))
        self.spots.setdefault(path, spot)
        if not self._filled(entry):
            return
        try:
            value = converted(kind, entry.cell, self.numerals, allowed_at(path))
        except Unreadable as fault:
            self.faults.add(path, fault.found, fault.allowed, fault.advice, form=True)
            value = None
        holder = self._at(base)
        for name in field[:-1]:
            holder = holder.setdefault(name, {})
        if many:
            self.spots[path] = spot
            holder.setdefault(field[-1], []).append(0 if value is None else value)
        elif value is not None:
            holder[field[-1]] = value

    def _at(self, path: FieldPath) -> Any:
        part: Any = self.data
        for name in path:
            part = part[name] if isinstance(name, int) else part.setdefault(name, {})
        return part

    @staticmethod
    def _filled(entry: Entry | None) -> bool:
        return entry is not None and not blank(entry.cell)

    @staticmethod
    def _spot(title: str, line: Line, entry: Entry) -> Spot:
        return Spot(title, entry.name, line.row, entry.heading)

    def _tell(
        self,
        title: str,
        entry: Entry | None,
        found: str,
        allowed: str,
        advice: str = "",
        *,
        near: str = "",
        names: Sequence[str] = (),
    ) -> None:
        """Record a fault of a cell that fills no field."""
        close = nearest(near[:80], names) if near else None
        row = int("".join(filter(str.isdigit, entry.name))) if entry else None
        field = entry.heading if entry else f"sheet {title}"
        cell = f"{title}!{entry.name}" if entry else ""
        self.faults.problems.append(Problem(self.name, row, field, found, allowed, advice, close, cell))
