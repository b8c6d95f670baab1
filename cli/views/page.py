"""Lines on a terminal page: headings, bullets and paragraphs with hanging indents, user text always as text."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

LEAST_WIDTH = 20
"""Columns below which text is no longer made narrower."""


class Page:
    """Prints lines on a console; nothing in them is read as markup."""

    def __init__(self, console: Console) -> None:
        self._console = console

    @property
    def width(self) -> int:
        """Columns that a line has."""
        return self._console.width

    def line(self, text: str | Text = "", *, indent: int = 0, hanging: int = 0) -> None:
        """One paragraph, wrapped to the console; lines after the first are indented by ``hanging`` more."""
        body = Text(text) if isinstance(text, str) else text
        width = max(self._console.width - indent - hanging, LEAST_WIDTH)
        lines = body.wrap(self._console, width)
        for number, wrapped in enumerate(lines):
            wrapped.rstrip()
            margin = " " * (indent if number == 0 else indent + hanging)
            self._console.print(Text(margin).append_text(wrapped), no_wrap=True, crop=False, overflow="ignore")
        if not lines:
            self._console.print()

    def heading(self, text: str) -> None:
        """A heading with a blank line above."""
        self.line()
        self.line(Text(text, style="bold underline"))

    def bullet(self, text: str | Text, indent: int = 2) -> None:
        """A bulleted paragraph."""
        body = Text(text) if isinstance(text, str) else text
        self.line(Text("- ").append_text(body), indent=indent, hanging=2)

    def section(self, heading: str, lines: list[str]) -> None:
        """A heading and its bullets; nothing at all when there are none."""
        if lines:
            self.heading(heading)
        for line in lines:
            self.bullet(line)
