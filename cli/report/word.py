"""A report as a Word document: real headings, repeated header rows, alternative text, and the case's own dates."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Iterable
from datetime import datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from docx.enum.text import WD_ALIGN_PARAGRAPH
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Emu, Mm, Pt

from cli.report.text import shown
from cli.report.word_styles import BULLETS, HEADINGS, TABLE_TEXT, dressed, opened
from engine.reporting import Report
from engine.reporting.blocks import Block, Notice, Paragraph, Photograph, Picture, Points, Section, Table
from engine.rulebook.telling import Entry

if TYPE_CHECKING:
    from docx.document import Document
    from docx.table import _Cell
    from docx.text.paragraph import Paragraph as Line

ZIP_DAY = (1980, 1, 1, 0, 0, 0)
"""The day that every part of the file bears, the first that the format can hold."""
PHOTOGRAPH_WIDTH = Mm(110)
LONGEST_WORD, WIDEST, LETTER = 18, 140, Mm(1.75)
"""Letters of a word that a column keeps whole, letters beyond which it grows no wider, and the width of one."""


def as_word(report: Report, template: Path | None = None) -> bytes:
    """The report as a .docx file, after what a firm's template holds; InvalidInput for one that is no Word file."""
    document = opened(template)
    if template is None:
        dressed(document, f"{'Draft: ' if report.draft else ''}{shown(report.title)}")
    _properties(document, report)
    _Writer(document).write(report)
    written = io.BytesIO()
    document.save(written)
    return _timeless(written.getvalue())


def _properties(document: Document, report: Report) -> None:
    core = document.core_properties
    day = datetime.combine(report.dated, time())
    core.title = f"{'Draft: ' if report.draft else ''}{shown(report.title)}"[:255]
    core.subject = shown(report.dwelling)[:255]
    core.author = core.last_modified_by = shown(report.author)[:255]
    core.comments = core.keywords = core.category = ""
    core.language = "en-GB"
    core.version = report.version
    core.identifier = f"case {report.case.digest[:12]}, rule base {report.rulebook.digest[:12]}"
    core.created = core.modified = day
    core.revision = 1


def _timeless(content: bytes) -> bytes:
    """The same file with one fixed day on all of its parts, so that the clock is not in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            part = zipfile.ZipInfo(name, ZIP_DAY)
            part.compress_type = zipfile.ZIP_DEFLATED
            part.external_attr = 0o644 << 16
            part.create_system = 0
            new.writestr(part, old.read(name))
    return out.getvalue()


class _Writer:
    """Puts blocks at the end of a document."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._marks = 0
        page = document.sections[-1]
        self._width = Emu((page.page_width or Mm(210)) - (page.left_margin or 0) - (page.right_margin or 0))

    def write(self, report: Report) -> None:
        """The whole report."""
        if report.draft:
            self._line("DRAFT", bold=True)
        self._document.add_paragraph(shown(report.title), style="Title")
        self._line(report.about)
        if len(report.parts) > 1 or report.parts[0].id == "technical":
            self._contents(report)
        for number, part in enumerate(report.parts):
            heading = self._heading(part.title, 1, part.id)
            heading.paragraph_format.page_break_before = bool(number) or len(report.parts) > 1
            for section in part.sections:
                self._section(section, 2)
        self._line(report.pins)

    def _contents(self, report: Report) -> None:
        self._line("Contents", bold=True)
        for part in report.parts:
            self._link(part.title, part.id, 0)
            for chapter in part.sections if part.id == "technical" else ():
                self._link(chapter.title, chapter.id, 1)
                for section in chapter.sections:
                    self._link(section.title, section.id, 2)

    def _link(self, text: str, target: str, depth: int) -> None:
        line = self._document.add_paragraph()
        line.paragraph_format.left_indent = Mm(6 * depth)
        line.paragraph_format.space_after = Pt(0)
        link = OxmlElement("w:hyperlink")
        link.set(qn("w:anchor"), _mark(target))
        run = line.add_run(shown(text))
        link.append(run._r)
        line._p.append(link)

    def _heading(self, text: str, level: int, name: str) -> Line:
        line = self._document.add_paragraph(shown(text), style=HEADINGS[min(level, len(HEADINGS)) - 1])
        self._marks += 1
        start, end = OxmlElement("w:bookmarkStart"), OxmlElement("w:bookmarkEnd")
        for mark in (start, end):
            mark.set(qn("w:id"), str(self._marks))
        start.set(qn("w:name"), _mark(name))
        line._p.insert(1 if line._p.pPr is not None else 0, start)
        line._p.append(end)
        return line

    def _section(self, section: Section, level: int) -> None:
        self._heading(section.title, level, section.id)
        for block in section.blocks:
            self._block(block)
        for under in section.sections:
            self._section(under, level + 1)

    def _block(self, block: Block) -> None:
        match block:
            case Paragraph(text, lead):
                self._line(text, lead=lead)
            case Points(entries, numbered):
                self._entries(entries, 0, numbered)
            case Table():
                self._table(block)
            case Notice(_, title, text):
                self._line(text, lead=f"{title}. ").paragraph_format.left_indent = Mm(5)
            case Picture():
                self._picture(block)
            case Photograph():
                self._photograph(block)

    def _line(self, text: str, *, lead: str = "", bold: bool = False) -> Line:
        line = self._document.add_paragraph()
        if lead:
            line.add_run(shown(lead)).bold = True
        line.add_run(shown(text)).bold = bold or None
        return line

    def _entries(self, entries: Iterable[Entry], depth: int, numbered: bool) -> None:
        style = "List Number" if numbered else BULLETS[min(depth, len(BULLETS) - 1)]
        for entry in entries:
            line = self._document.add_paragraph(shown(entry.text), style=style)
            line.paragraph_format.left_indent = Mm(6 + 6 * depth)
            line.paragraph_format.first_line_indent = Mm(-5)
            line.paragraph_format.space_after = Pt(2)
            self._entries(entry.under, depth + 1, False)

    def _table(self, table: Table) -> None:
        caption = self._document.add_paragraph(shown(table.caption), style="Caption")
        caption.paragraph_format.keep_with_next = True
        made = self._document.add_table(rows=0, cols=len(table.header))
        made.style = "Table Grid"
        made.autofit = False
        _described(made._tbl.tblPr, table.caption)
        widths = _widths(table, self._width)
        for column, width in zip(made.columns, widths, strict=True):
            column.width = width
        for number, cells in enumerate((table.header, *table.rows)):
            row = made.add_row()
            properties = row._tr.get_or_add_trPr()
            properties.append(OxmlElement("w:cantSplit"))
            if number == 0:
                properties.append(OxmlElement("w:tblHeader"))
            for column, (cell, text) in enumerate(zip(row.cells, cells, strict=True)):
                cell.width = widths[column]
                self._cell(cell, text, bold=number == 0, right=column in table.figures)
        self._document.add_paragraph().paragraph_format.space_after = Pt(2)

    def _cell(self, cell: _Cell, text: str, *, bold: bool, right: bool) -> None:
        line = cell.paragraphs[0]
        line.style = TABLE_TEXT
        line.add_run(shown(text)).bold = bold or None
        if right:
            line.alignment = WD_ALIGN_PARAGRAPH.RIGHT

    def _picture(self, block: Picture) -> None:
        from cli.report.drawing import draw_png

        self._image(draw_png(block.figure), self._width, block.figure.title, block.figure.alt)
        self._line(block.figure.alt, lead=f"{block.figure.title}. ")

    def _photograph(self, block: Photograph) -> None:
        copy = block.held.copy
        if copy is not None:
            self._image(copy.content, min(PHOTOGRAPH_WIDTH, self._width), block.caption, block.alt or block.caption)
        self._line(f"{block.caption} {block.alt}".strip(), lead="Photograph. ")
        self._line(block.about)

    def _image(self, content: bytes, width: int, title: str, alt: str) -> None:
        shape = self._document.add_picture(io.BytesIO(content), width=Emu(width))
        properties = shape._inline.docPr
        properties.set("title", shown(title))
        properties.set("descr", shown(alt))
        self._document.paragraphs[-1].paragraph_format.keep_with_next = True


def _widths(table: Table, width: int) -> list[Emu]:
    """The columns' widths: room for the longest usual word of each, and the rest by how much each has to say."""
    least, more = [], []
    for column, name in enumerate(table.header):
        texts = [name, *(row[column] for row in table.rows)]
        word = max((len(word) for text in texts for word in text.split()), default=1)
        least.append((min(word, LONGEST_WORD) + 3) * LETTER)
        more.append(max(min(max(map(len, texts)), WIDEST) * LETTER - least[-1], 0) + 1)
    spare = width - sum(least)
    if spare < 0:
        return [Emu(width * one // sum(least)) for one in least]
    return [Emu(one + spare * other // sum(more)) for one, other in zip(least, more, strict=True)]


def _described(properties: Any, caption: str) -> None:
    """A table's caption as its alternative text, for readers who move from table to table."""
    element = OxmlElement("w:tblCaption")
    element.set(qn("w:val"), shown(caption))
    properties.append(element)


def _mark(name: str) -> str:
    """A bookmark's name, of at most forty characters: letters, digits and underscores, no two sections alike."""
    return f"_{hashlib.sha256(name.encode()).hexdigest()[:20]}"
