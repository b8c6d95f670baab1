"""How the form looks: plain black on white, grey headings, lines for writing on paper; no colour means anything."""

from __future__ import annotations

from textwrap import wrap
from typing import Any

from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter

_GREY = PatternFill("solid", fgColor="D9D9D9")
_LINE = Side(style="thin", color="808080")
_FONT, _POINTS = "Calibri", 15
BOX = Border(left=_LINE, right=_LINE, top=_LINE, bottom=_LINE)
WRAPPED = Alignment(wrap_text=True, vertical="top")
_LARGEST_NOTE = 420


def written(cell: Any, value: Any) -> None:
    """Put a value into a cell, text always as text: never a formula, an error or a number."""
    cell.border, cell.alignment = BOX, WRAPPED
    if value is None:
        return
    if isinstance(value, bool):
        value = "yes" if value else "no"
    cell.value = value
    if isinstance(value, str):
        cell.data_type = "s"
        cell.quotePrefix = value.startswith(("=", "+", "-", "@", "'"))
        cell.number_format = "@"


def bold(*, italic: bool = False) -> Font:
    """The face of headings."""
    return Font(name=_FONT, size=11, bold=True, italic=italic)


def heading(cell: Any, text: str) -> None:
    """Make a cell a heading."""
    cell.value, cell.font, cell.fill, cell.border, cell.alignment = text, bold(), _GREY, BOX, WRAPPED


def commented(cell: Any, text: str) -> None:
    """Hang a comment on a cell, large enough to be read."""
    if text:
        comment = Comment(text, "dampwright", width=_LARGEST_NOTE)
        comment.height = 40 + 18 * sum(1 + len(line) // 58 for line in text.split("\n"))
        cell.comment = comment


def laid_out(sheet: Any, widths: list[int], *, frozen: str = "A2", landscape: bool = True) -> None:
    """Set widths, the frozen heading and the page: A4, as wide as the sheet, heading repeated, pages numbered."""
    for place, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = width
    for row in sheet.iter_rows():
        lines = max(_lines(cell.value, widths[place]) for place, cell in enumerate(row[: len(widths)]))
        if lines > 1:
            sheet.row_dimensions[row[0].row].height = _POINTS * min(lines, 25)
    sheet.freeze_panes = frozen
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.oddHeader.left.text = "&A"
    sheet.oddFooter.right.text = "&P / &N"
    sheet.page_margins.left = sheet.page_margins.right = 0.4


def _lines(value: Any, width: int) -> int:
    """How many lines a cell's text takes up at a width, words wrapped."""
    if not isinstance(value, str):
        return 1
    return sum(max(1, len(wrap(line, max(int(1.15 * width) - 1, 4)))) for line in value.split("\n"))
