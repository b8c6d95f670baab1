"""A report as one HTML file that needs nothing else: no network, no script, no font, no picture beside it."""

from __future__ import annotations

from base64 import b64encode
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from markupsafe import Markup

from cli.report.text import shown
from engine.reporting import Report
from engine.reporting.blocks import Block, Photograph

if TYPE_CHECKING:
    from engine.reporting.figures import Figure

TEMPLATES = Path(__file__).parent / "templates"
LONG = 24
"""A word with more letters may be broken anywhere, so that it does not push a table off the page."""
SHORT = 8
"""A table of so many rows or fewer is never parted between two printed pages."""


def as_html(report: Report) -> str:
    """The report as an HTML document; the same report gives the same text."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES, encoding="utf-8"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_finalised,
        keep_trailing_newline=True,
    )
    environment.tests["of_kind"] = _of_kind
    environment.filters["data_address"] = _data_address
    environment.filters["drawn"] = _drawn
    environment.filters["lines"] = _lines
    environment.filters["kind_of_cell"] = _kind_of_cell
    style = Markup((TEMPLATES / "report.css").read_text(encoding="utf-8"))  # noqa: S704 - our own file
    return environment.get_template("report.html.j2").render(report=report, style=style, short=SHORT)


def _finalised(value: Any) -> Any:
    """What a template prints: text of a case with its control codes made visible; markup of our own as it is."""
    return shown(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _lines(text: str) -> Markup:
    """Text of several lines, escaped, each line on its own."""
    return Markup("<br>").join(shown(text).split("\n"))


def _drawn(figure: Figure) -> Markup:
    from cli.report.drawing import draw_svg

    return Markup(draw_svg(figure))  # noqa: S704 - drawn by us, every text in it escaped there


def _data_address(photograph: Photograph) -> str:
    copy = photograph.held.copy
    return f"data:{copy.media_type};base64,{b64encode(copy.content).decode('ascii')}" if copy else ""


def _kind_of_cell(text: str, figure: bool) -> Markup:
    """How a cell is set: figures to the right, and words too long for a column broken where they must be."""
    kinds = ["figure"] if figure else []
    if any(len(word) > LONG for word in text.split()):
        kinds.append("long")
    return Markup(' class="{}"').format(" ".join(kinds)) if kinds else Markup("")


def _of_kind(block: Block, name: str) -> bool:
    return type(block).__name__ == name
