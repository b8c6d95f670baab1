"""The Word report has real structure, takes a firm's template, and opens through LibreOffice where that is."""

from __future__ import annotations

import io
import shutil
import subprocess
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

import docx
import pytest
from docx.oxml.ns import qn
from docx.shared import Pt

from cli.report.word import as_word
from engine.errors import InvalidInput


@pytest.fixture(scope="module")
def content(full_word):
    return full_word


@pytest.fixture(scope="module")
def document(content):
    return docx.Document(io.BytesIO(content))


def test_headings_are_headings_in_order(document, full_report):
    levels = [int(p.style.name[-1]) for p in document.paragraphs if p.style.name.startswith("Heading")]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    titles = [p.text for p in document.paragraphs if p.style.name.startswith("Heading")]
    assert titles == [title for part in full_report.parts for title in (part.title, *(s.title for s in part.walk()))]


def test_every_table_repeats_its_header_row_and_cuts_no_row(document):
    assert len(document.tables) > 20
    for table in document.tables:
        rows = table._tbl.tr_lst
        assert rows[0].trPr.find(qn("w:tblHeader")) is not None
        assert all(row.trPr.find(qn("w:cantSplit")) is not None for row in rows)
        assert table._tbl.tblPr.find(qn("w:tblCaption")).get(qn("w:val"))


def test_every_picture_has_alternative_text(document):
    pictures = list(document.element.body.iter(qn("wp:docPr")))
    assert pictures
    assert all(picture.get("descr") for picture in pictures)
    assert "a tide line" in {picture.get("descr") for picture in pictures}


def test_properties_and_dates_are_the_cases(document):
    core = document.core_properties
    assert core.title == "A raised garden path against a solid brick wall"
    assert core.author == "Ines Inspector"
    assert (
        core.created
        == core.modified
        == datetime.fromisoformat("2026-03-20T00:00:00").replace(tzinfo=core.created.tzinfo)
    )
    assert core.language == "en-GB"


def test_contents_lead_to_headings(document):
    marks = {mark.get(qn("w:name")) for mark in document.element.body.iter(qn("w:bookmarkStart"))}
    links = {link.get(qn("w:anchor")) for link in document.element.body.iter(qn("w:hyperlink"))}
    assert links
    assert links <= marks


@pytest.fixture
def template(tmp_path):
    """A firm's letterhead: a line in the header, a line of text, its own heading, and few styles."""
    firm = docx.Document()
    firm.sections[0].header.paragraphs[0].text = "An Invented Firm"
    firm.add_paragraph("Our ref: 1")
    firm.styles["Heading 2"].font.size = Pt(31)
    styles = firm.styles.element
    for style in list(styles):
        if style.get(qn("w:styleId")) in ("Heading5", "Heading6", "Caption", "ListBullet", "TableGrid", "Title"):
            styles.remove(style)
    path = tmp_path / "firm.docx"
    firm.save(path)
    return path


def test_a_firms_template_keeps_what_it_holds_and_gives_its_styles(full_report, template):
    page = replace(full_report, parts=full_report.parts[:1])
    made = docx.Document(io.BytesIO(as_word(page, template)))
    assert made.sections[0].header.paragraphs[0].text == "An Invented Firm"
    assert made.paragraphs[0].text == "Our ref: 1"
    assert made.styles["Heading 2"].font.size == Pt(31)
    assert {f"Heading {level}" for level in range(1, 7)} <= {style.name for style in made.styles}


def test_a_template_that_is_no_word_file_is_named(full_report, tmp_path):
    path = tmp_path / "firm.docx"
    path.write_bytes(b"no Word file")
    with pytest.raises(InvalidInput, match=r"firm\.docx"):
        as_word(full_report, path)


def test_libreoffice_opens_it_with_its_pictures(content, document, tmp_path):
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if not office:
        pytest.skip("needs LibreOffice")
    (tmp_path / "report.docx").write_bytes(content)
    home = f"-env:UserInstallation={(tmp_path / 'home').as_uri()}"
    done = subprocess.run(
        [office, home, "--headless", "--convert-to", "pdf", "--outdir", tmp_path, tmp_path / "report.docx"],
        capture_output=True,
        text=True,
        timeout=180,
    )
    if not (tmp_path / "report.pdf").exists():
        pytest.skip(f"LibreOffice has no writer here: {done.stderr.strip()[-200:]}")
    from pypdf import PdfReader

    pdf = PdfReader(tmp_path / "report.pdf")
    text = "\n".join(page.extract_text() for page in pdf.pages)
    assert "Technical report" in text
    pictures = len(list(document.element.body.iter(qn("wp:docPr"))))
    assert sum(len(page.images) for page in pdf.pages) >= pictures
