"""The drop-downs of the form: lists of words on a hidden sheet, and the ids given on other sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

from engine.case.workbook.headings import letters
from engine.case.workbook.layout import LISTS
from engine.case.workbook.sheets import SHEETS

_LAST_ID = 200
"""Down to which row the ids of another sheet are offered."""


class DropDowns:
    """The lists of one workbook; each list of words is written once."""

    def __init__(self, book: Any) -> None:
        self.sheet = book.create_sheet(LISTS)
        self.sheet.sheet_state = "hidden"
        self._ranges: dict[tuple[str, ...], str] = {}
        self._rules: dict[tuple[str, str], Any] = {}

    def words(self, sheet: Any, cells: str, words: Sequence[str], title: str) -> None:
        """Offer words in some cells; anything else is refused by the spreadsheet."""
        rule = self._rule(sheet, self._range(tuple(words)), "stop")
        rule.errorTitle, rule.error = title[:32], f"Allowed: {', '.join(words)}"[:255]
        rule.add(cells)

    def ids(self, sheet: Any, cells: str, title: str) -> None:
        """Offer the ids given on another sheet in some cells; others only warn, for they may be given later."""
        other = next(one for one in SHEETS if one.title == title)
        letter = letters(next(n for n, column in enumerate(other.all_columns) if column.field == "id"))
        self._rule(sheet, f"='{title}'!${letter}$2:${letter}${_LAST_ID}", "warning").add(cells)

    def _rule(self, sheet: Any, source: str, style: str) -> Any:
        key = (sheet.title, source)
        if key not in self._rules:
            rule = DataValidation(type="list", formula1=source, allow_blank=True, errorStyle=style)
            rule.showErrorMessage = True
            sheet.add_data_validation(rule)
            self._rules[key] = rule
        return self._rules[key]

    def _range(self, words: tuple[str, ...]) -> str:
        if words not in self._ranges:
            place = len(self._ranges) + 1
            for row, word in enumerate(words, start=1):
                cell = self.sheet.cell(row, place, word)
                cell.number_format = "@"
            letter = get_column_letter(place)
            self._ranges[words] = f"={LISTS}!${letter}$1:${letter}${len(words)}"
        return self._ranges[words]
