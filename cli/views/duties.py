"""Sheets of possible duties on a terminal: what they are first, then the dates, then how far they can be relied on."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from cli.views.page import Page
from cli.views.phrases import sentence_case
from engine.days import day_words
from engine.duties import Sheet


def show_sheets(sheets: Sequence[Sheet], console: Console) -> None:
    """Print one sheet below the other."""
    page = Page(console)
    for number, sheet in enumerate(sheets):
        if number:
            page.line()
        _show(sheet, page)


def _show(sheet: Sheet, page: Page) -> None:
    page.line(Text(sentence_case(sheet.title), style="bold"))
    page.line(Text(f"{sentence_case(sheet.standing)}.", style="bold"))
    page.line(f"Binds: {sheet.binds}", hanging=2)
    page.section("Where there is", list(sheet.triggers))
    page.section("Warnings", list(sheet.warnings))
    if sheet.dates:
        page.heading("Dates, if the duty applies")
    for item in sheet.dates:
        when = day_words(item.due) if item.due else "no day yet: the investigation has no end"
        clause = f"; {item.clause}" if item.clause else ""
        page.bullet(
            Text(f"{sentence_case(item.title)}: ").append(when, style="bold").append(f" ({item.period}{clause})")
        )
        page.line(item.action, indent=4)
    page.section(
        "How this is known",
        [
            sheet.note,
            *sheet.sources,
            f"in force from {day_words(sheet.in_force_from)}; looked up on {day_words(sheet.checked_on)}",
        ],
    )
