"""A case laid out in the rows of the form: what stands in which column of which sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from engine.case.models import Case
from engine.case.tables import MOST_ROWS
from engine.case.workbook.common import SIGNS
from engine.case.workbook.layout import AREA, HOUSE, SURFACE, VISIT, Sheet
from engine.case.workbook.sheets import SHEETS
from engine.errors import InvalidInput, Problem

Fields = dict[str, Any]
"""The cells of one row by field, lists still as lists."""


def rows_of(sheet: Sheet, case: Mapping[str, Any]) -> list[Fields]:
    """The rows of a sheet from a case as plain data."""
    found = list(_entries(sheet, case, sheet.where, {}))
    if sheet.title == "Not inspected":
        found = [_row(sheet, entry, {}) for entry in case["dwelling"]["not_inspected"]] + found
    return found


def signs_of(case: Mapping[str, Any]) -> Iterator[Fields]:
    """Every fact of a case as a row of the signs."""
    for fact in case["dwelling"]["facts"]:
        yield {**fact, "holds-for": HOUSE}
    for visit in case["visits"]:
        for fact in visit["facts"]:
            yield {**fact, "holds-for": VISIT, "visit": visit["id"]}
    for area in case["areas"]:
        for fact in area["facts"]:
            yield {**fact, "holds-for": AREA, "areas": area["id"]}
        for surface in area["surfaces"]:
            for fact in surface["facts"]:
                yield {**fact, "holds-for": SURFACE, "areas": area["id"], "surfaces": surface["id"]}


def check_held(case: Case) -> None:
    """InvalidInput with everything of a case that the form has no place for; the key of a worked case is left out."""
    data = case.model_dump(mode="json")
    problems = [
        Problem(sheet.title, None, "", f"{len(rows):,} rows", f"at most {MOST_ROWS:,} on a sheet", "keep the case file")
        for sheet in SHEETS
        if len(rows := rows_of(sheet, data)) > MOST_ROWS
    ]
    for visit in case.visits:
        for fact in visit.facts:
            if fact.visit is not None:
                found = f"the fact {fact.attribute} of visit {visit.id} that names a visit itself"
                problems.append(Problem(SIGNS, None, "", found, "a fact of a visit without that", "take visit out"))
    if problems:
        raise InvalidInput(problems)


def value_at(data: Mapping[str, Any], path: tuple[str, ...]) -> Any:
    """What stands at a path inside plain data; None where there is nothing."""
    part: Any = data
    for name in path:
        part = part.get(name) if isinstance(part, Mapping) else None
    return part


def _entries(sheet: Sheet, part: Mapping[str, Any], lists: tuple[str, ...], parents: Fields) -> Iterator[Fields]:
    name, rest = lists[0], lists[1:]
    inside = part.get(name)
    for entry in inside if isinstance(inside, list) else [inside] if inside is not None else []:
        if rest:
            yield from _entries(sheet, entry, rest, {**parents, name: entry["id"]})
        else:
            yield _row(sheet, entry, parents)


def _row(sheet: Sheet, entry: Mapping[str, Any], parents: Fields) -> Fields:
    return parents | {column.field: value_at(entry, column.path) for column in sheet.columns}
