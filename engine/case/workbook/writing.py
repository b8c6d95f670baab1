"""The form as a workbook, empty or filled from a case: drop-downs, comments, a filled example, nothing locked."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping
from datetime import date
from typing import Any

import openpyxl

from engine.case.models import Case
from engine.case.workbook.common import DWELLING, DWELLING_ROWS, SIGN_COLUMNS, SIGN_QUESTION, SIGNS
from engine.case.workbook.example import example_case
from engine.case.workbook.headings import letters
from engine.case.workbook.layout import EXAMPLE, INTRODUCTION, Column, Sheet, kind_at
from engine.case.workbook.lists import DropDowns
from engine.case.workbook.reading import DWELLING_COLUMNS
from engine.case.workbook.rows import Fields, check_held, rows_of, signs_of, value_at
from engine.case.workbook.sheets import SHEETS, titles
from engine.case.workbook.signs import Questionnaire, write_signs
from engine.case.workbook.styles import commented, heading, laid_out, written

_ROWS, _READING_ROWS = 40, 200
"""Lines ruled for writing on a sheet; drop-downs reach ten times as far."""

_INTRODUCTION = (
    "One workbook is one case: a dwelling, the visits to it, and its damp places. Begin with Dwelling, Visits, Areas.",
    "Write down what was seen, measured or told, and nothing else. What is not known stays empty, or is given as "
    "unknown; neither is ever read as no.",
    "Give every visit, area, surface, instrument and sample a short id, such as north-wall. Other sheets name it by "
    "that id. Where there is only one, its name may be left out.",
    "Units stand in the headings: lengths in millimetres, temperatures in degrees Celsius, masses in grams.",
    "On a surface x runs right and y up from the bottom left corner, as seen from the room.",
    "On the sheet Signs answer what you can. The comment of each question says how to look. For a second area copy the "
    "row and name the area.",
    "Days are written year-month-day. Empty rows are passed over. Rows may be added; columns and sheets keep their "
    "names.",
    "The sheet of the example is not read. Nothing is locked, and no colour means anything.",
)


def starting_case(day: date) -> Case:
    """The case that an empty form holds, for its words to be written over."""
    data = {
        "format": 1,
        "id": "my-case",
        "title": "What this case is about",
        "dwelling": {"title": "The dwelling"},
        "visits": [{"id": "first", "on": day.isoformat()}],
        "areas": [{"id": "first-area", "title": "The damp place"}],
    }
    return Case.model_validate_json(json.dumps(data))


def write_form(case: Case, vocabulary: Questionnaire) -> bytes:
    """A workbook (.xlsx) that holds a case, its key left out; `read_case` reads the same case from it.

    InvalidInput with what the form has no place for.
    """
    check_held(case)
    data = case.model_dump(mode="json")
    book = openpyxl.Workbook()
    _introduction(book.active)
    lists = DropDowns(book)
    by_title = {sheet.title: sheet for sheet in SHEETS}
    for title in titles():
        page = book.create_sheet(title)
        if title == DWELLING:
            _dwelling(page, lists, data)
        elif title == SIGNS:
            write_signs(page, lists, vocabulary, signs_of(data))
        else:
            _rows(page, lists, by_title[title], rows_of(by_title[title], data))
    _example(book.create_sheet(EXAMPLE), vocabulary)
    book.move_sheet(lists.sheet, offset=len(book.sheetnames))
    book.active = 0
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _introduction(page: Any) -> None:
    page.title = INTRODUCTION
    heading(page.cell(1, 1), INTRODUCTION)
    notes = [f"{sheet.title}: {sheet.note}" for sheet in SHEETS]
    for row, text in enumerate((*_INTRODUCTION, *notes), start=2):
        written(page.cell(row, 1), text)
    laid_out(page, [80], landscape=False)


def _dwelling(page: Any, lists: DropDowns, data: Mapping[str, Any]) -> None:
    for place, column in enumerate(DWELLING_COLUMNS, start=1):
        heading(page.cell(1, place), column.heading)
    for row, item in enumerate(DWELLING_ROWS, start=2):
        value = value_at(data, item.path)
        written(page.cell(row, 1), item.heading)
        written(page.cell(row, 2), value)
        written(page.cell(row, 3), item.note or None)
        if kind_at(item.path) == "flag":
            lists.words(page, f"B{row}", ("yes", "no"), item.heading)
    laid_out(page, [24, 60, 50], frozen="B2")


def _columns(sheet: Sheet, rows: list[Fields]) -> list[tuple[Column, str, int]]:
    """Every column as written: its heading, and which of several it is."""
    found: list[tuple[Column, str, int]] = []
    for column in sheet.all_columns:
        if column.many:
            most = max([3, *(len(row.get(column.field) or ()) for row in rows)])
            found += [(column, f"{column.heading} {number + 1}", number) for number in range(most)]
        else:
            found.append((column, column.heading, 0))
    return found


def _rows(page: Any, lists: DropDowns, sheet: Sheet, rows: list[Fields]) -> None:
    columns = _columns(sheet, rows)
    room = len(rows) + (_READING_ROWS if sheet.title == "Readings" else _ROWS)
    for place, (column, text, _) in enumerate(columns, start=1):
        heading(page.cell(1, place), text)
        commented(page.cell(1, place), column.note)
        cells = f"{letters(place - 1)}2:{letters(place - 1)}{10 * room}"
        if column.names:
            lists.ids(page, cells, column.names)
        elif words := sheet.words(column):
            lists.words(page, cells, words, text)
    for row in range(room):
        for place, (column, _, number) in enumerate(columns, start=1):
            written(page.cell(row + 2, place), _value(column, rows[row], number) if row < len(rows) else None)
    laid_out(page, [column.width for column, _, _ in columns])


def _value(column: Column, row: Fields, number: int) -> Any:
    value = row.get(column.field)
    if isinstance(value, list):
        if column.many:
            return value[number] if number < len(value) else None
        return ", ".join(value) or None
    return value


def _example(page: Any, vocabulary: Questionnaire) -> None:
    data = example_case().model_dump(mode="json")
    heading(page.cell(1, 1), "An example, invented. This sheet is not read.")
    row = 3
    for sheet in SHEETS:
        rows = rows_of(sheet, data)
        if rows:
            columns = _columns(sheet, rows)
            values = [[_value(column, one, number) for column, _, number in columns] for one in rows]
            row = _block(page, row, sheet.title, [text for _, text, _ in columns], values)
    facts = []
    for fact in signs_of(data):
        question = vocabulary.questions.get(fact["attribute"])
        title = question.title if question else fact["attribute"]
        facts.append([title if column is SIGN_QUESTION else fact.get(column.field) for column in SIGN_COLUMNS])
    _block(page, row, SIGNS, [column.heading for column in SIGN_COLUMNS], facts)
    laid_out(page, [30, 20, *[14] * 12])


def _block(page: Any, row: int, title: str, headings: list[str], rows: list[list[Any]]) -> int:
    """One sheet of the example under its title; the row on which the next one begins."""
    written(page.cell(row, 1), f"Sheet {title}")
    for place, text in enumerate(headings, start=1):
        heading(page.cell(row + 1, place), text)
    for down, values in enumerate(rows, start=row + 2):
        for place, value in enumerate(values, start=1):
            written(page.cell(down, place), value)
    return row + 3 + len(rows)
