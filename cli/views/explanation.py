"""Explanations on a terminal: sections of sentences, what lies under a sentence indented below it."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from cli.views.page import Page
from engine.explaining.explaining import Explanation
from engine.rulebook.telling import Entry


def show_explanation(explanation: Explanation, console: Console) -> None:
    """Print the explanations of a case's areas, and what pins them."""
    page = Page(console)
    page.line(Text(explanation.case.title, style="bold"))
    for area in explanation.areas:
        page.line()
        page.line(Text(area.title.upper(), style="bold"))
        for section in area.sections:
            page.heading(section.heading)
            for entry in section.entries:
                _show(entry, page, 0)
    page.line()
    page.line(
        "Weights [dB] say how far belief moves with one finding taken away; strengths are trade judgement. Names in "
        "square brackets can be looked up with: dampwright rules show NAME. The inspector concludes and signs."
    )
    stamps = (explanation.rulebook.digest[:12], explanation.case.digest[:12], explanation.version)
    page.line("rule base {}, case {}, version {}".format(*stamps))


def _show(entry: Entry, page: Page, depth: int) -> None:
    page.bullet(entry.text, 2 + 2 * depth)
    for under in entry.under:
        _show(under, page, depth + 1)
