"""The document that a Word report is written into: a firm's template, or a plain A4 page of our own."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import docx
from docx.enum.style import WD_STYLE_TYPE
from docx.enum.text import WD_ALIGN_PARAGRAPH
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Mm, Pt, RGBColor

from engine.archives import LARGEST_FILE, Declares, TooLarge, check_archive
from engine.errors import InvalidInput, Problem

if TYPE_CHECKING:
    from docx.document import Document
    from docx.styles.style import BaseStyle
    from docx.text.paragraph import Paragraph

HEADINGS = tuple(f"Heading {level}" for level in range(1, 7))
TABLE_TEXT = "Report table text"
"""The paragraph style of cells; a template may define it."""
BULLETS = ("List Bullet", "List Bullet 2", "List Bullet 3")
_PARAGRAPHS = ("Title", "Caption", "List Number", *BULLETS)
_INK, _MARK = RGBColor(0x1D, 0x21, 0x26), RGBColor(0x23, 0x39, 0x5F)


def opened(template: Path | None) -> Document:
    """A template's document, or an empty one, with every style that a report needs; InvalidInput for no Word file."""
    document = docx.Document() if template is None else _of(template)
    _complete(document)
    return document


def _of(template: Path) -> Document:
    """The document of a firm's template, measured before it is opened; one with macros is no Word document (.docx)."""
    found, allowed = "no Word document", "a Word document (.docx) whose styles the report is to have"
    with template.open("rb") as file:
        content = file.read(LARGEST_FILE + 1)
    try:
        check_archive(content)
        document: Document = docx.Document(io.BytesIO(content))
        _complete(document)
    except TooLarge as fault:
        found, allowed = "a document that would unpack to more than can be read", str(fault)
    except Declares as fault:
        found, allowed = f"a part that declares entities ({fault})", "plain parts"
    except Exception:  # noqa: S110 - whatever a damaged file makes the reader stumble over, it is the file's fault
        pass
    else:
        return document
    raise InvalidInput([Problem(str(template), None, "", found, allowed)])


def _complete(document: Document) -> None:
    """Add the styles that a document lacks; those that it has stay as they are."""
    styles = document.styles
    known = {style.name for style in styles}
    for level, name in enumerate(HEADINGS):
        if name not in known:
            style = styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH, builtin=True)
            style.base_style = styles["Normal"]
            style.font.bold = True
            outline = OxmlElement("w:outlineLvl")
            outline.set(qn("w:val"), str(level))
            style.element.get_or_add_pPr().append(outline)
    for name in _PARAGRAPHS:
        if name not in known:
            styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH, builtin=True).base_style = styles["Normal"]
    if "Table Grid" not in known:
        styles.add_style("Table Grid", WD_STYLE_TYPE.TABLE, builtin=True)
    if TABLE_TEXT not in known:
        style = styles.add_style(TABLE_TEXT, WD_STYLE_TYPE.PARAGRAPH)
        style.base_style = styles["Normal"]
        style.font.size = Pt(8.5)
        style.paragraph_format.space_after = style.paragraph_format.space_before = Pt(1)


def dressed(document: Document, title: str) -> None:
    """Our own look: A4, one typeface, dark ink, page numbers."""
    page = document.sections[0]
    page.page_width, page.page_height = Mm(210), Mm(297)
    page.left_margin = page.right_margin = Mm(20)
    page.top_margin = page.bottom_margin = Mm(18)
    normal = document.styles["Normal"]
    normal.font.name, normal.font.size = "Arial", Pt(10)
    normal.element.get_or_add_rPr().get_or_add_rFonts().set(qn("w:eastAsia"), "Arial")
    language = OxmlElement("w:lang")
    language.set(qn("w:val"), "en-GB")
    normal.element.get_or_add_rPr().append(language)
    sizes = (18, 14, 12, 10.5, 10, 10)
    for name, size in (("Title", 20), ("Caption", 9), *zip(HEADINGS, sizes, strict=True)):
        style = document.styles[name]
        fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
        for kind in ("w:asciiTheme", "w:hAnsiTheme", "w:eastAsiaTheme", "w:cstheme"):
            fonts.attrib.pop(qn(kind), None)
        style.font.name, style.font.size, style.font.bold = "Arial", Pt(size), True
        style.font.italic = False
        style.font.color.rgb = _MARK if name in HEADINGS[:3] else _INK
    _ruled(document.styles["Table Grid"])
    foot = page.footer.paragraphs[0]
    foot.alignment = WD_ALIGN_PARAGRAPH.RIGHT
    foot.add_run(f"{title[:120]}   ")
    for instruction in ("PAGE", "NUMPAGES"):
        _field(foot, instruction)
        if instruction == "PAGE":
            foot.add_run(" / ")


def _ruled(style: BaseStyle) -> None:
    """Tables with thin lines between rows and none between columns."""
    properties = style.element.find(qn("w:tblPr"))
    borders = properties.find(qn("w:tblBorders"))
    for line in list(borders):
        across = line.tag in (qn("w:top"), qn("w:bottom"), qn("w:insideH"))
        line.set(qn("w:val"), "single" if across else "nil")
        line.set(qn("w:color"), "9AA1AA")


def _field(line: Paragraph, instruction: str) -> None:
    """A field that Word fills in, such as the page's number."""
    for kind, text in (("begin", None), (None, instruction), ("end", None)):
        run = line.add_run()
        element = OxmlElement("w:fldChar" if kind else "w:instrText")
        if kind:
            element.set(qn("w:fldCharType"), kind)
        else:
            element.text = text
        run._r.append(element)
