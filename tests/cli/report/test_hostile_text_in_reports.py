"""Whatever a person wrote in a case is text in a report: never markup, a link, a field, a formula or a control code."""

from __future__ import annotations

import dataclasses
import io
import os
import re
import subprocess
import sys
import zipfile
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import docx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from cli.report.html import as_html
from cli.report.markdown import as_markdown, escaped
from cli.report.text import shown
from cli.report.word import as_word
from engine.opinion.models import Stamp
from engine.reporting.blocks import Notice, Paragraph, Part, Points, Report, Section, Table
from engine.rulebook.telling import Entry

ROOT = Path(__file__).resolve().parents[3]
NEVER = {"script", "iframe", "object", "embed", "form", "input", "link", "base", "audio", "video", "foreignobject"}
UNSEEN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]")
NASTY = "\x00\x1b[31m\x07\u202e\u2066\u200f\u2028\ufeff\ud800 <b>x</b> {{ 7*7 }} =1+1 [a](javascript:b) | **c**"


class Elements(HTMLParser):
    """Every element with its attributes, and every piece of text."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.elements, self.text = [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    handle_startendtag = handle_starttag

    def handle_data(self, data):
        self.text.append(data)


def report_of(text, line=None):
    """A small report with one text in every kind of block."""
    line = line or text
    blocks = (
        Paragraph(text, line),
        Points((Entry(text, (Entry(text),)),)),
        Points((Entry(text),), numbered=True),
        Table(line, (line, line), ((text, text),), figures=(1,)),
        Notice("caution", line, text),
    )
    part = Part("technical", line, (Section("one", line, blocks, (Section("two", line, blocks),)),))
    stamp = Stamp("0" * 64, "stamp")
    return Report(line, line, line, False, True, date(2026, 1, 5), stamp, stamp, "0", (part,))


def word_texts(content):
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        root = ElementTree.fromstring(file.read("word/document.xml"))
        names = {name: file.read(name) for name in file.namelist()}
    return root, "".join(root.itertext()), names


def test_the_hostile_texts_are_many_and_long(hostile):
    _, marks, path = hostile
    assert len(marks) >= 40
    assert path.stat().st_size > 100_000


def test_html_holds_hostile_texts_as_text_alone(hostile, hostile_html):
    _, marks, _ = hostile
    page = Elements(hostile_html)
    assert not {tag for tag, _ in page.elements} & NEVER
    for tag, attributes in page.elements:
        assert not [name for name in attributes if name.startswith("on")], tag
        for name in ("href", "src", "xlink:href", "action"):
            address = attributes.get(name)
            assert address is None or address.startswith(("#", "data:image/")), (tag, address)
    text = "".join([*page.text, *(attributes.get("alt") or "" for _, attributes in page.elements)])
    assert [mark for mark in marks if f"{mark} <script>alert(1)</script>" not in text] == []
    assert "{{ 7*7 }}" in text
    assert "</td></table><h1>H</h1>" in text


def test_html_has_the_same_elements_whatever_the_texts_are():
    kinds = [tag for tag, _ in Elements(as_html(report_of("harmless"))).elements]
    assert [tag for tag, _ in Elements(as_html(report_of(NASTY))).elements] == kinds


def test_word_holds_hostile_texts_as_text_alone(hostile):
    report, marks, _ = hostile
    root, text, names = word_texts(as_word(report))
    assert [mark for mark in marks if f"{mark} <script>alert(1)</script>" not in text] == []
    space = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
    assert {field.text for field in root.iter(f"{space}instrText")} == set()
    assert all(link.get(f"{space}anchor") for link in root.iter(f"{space}hyperlink"))
    relations = names["word/_rels/document.xml.rels"].decode("utf-8")
    assert 'TargetMode="External"' not in relations
    assert not UNSEEN.search(text)


def test_markdown_holds_hostile_texts_as_text_alone(hostile, hostile_markdown):
    _, marks, _ = hostile
    kinds, text = markdown_kinds(hostile_markdown)
    assert not kinds & {"html_block", "link_open", "image", "code_inline", "code_block", "fence", "em_open", "s_open"}
    assert [mark for mark in marks if f"{mark} <script>alert(1)</script>" not in text] == []
    assert "{{ 7*7 }}" in text


def markdown_kinds(markdown):
    """The kinds of token that a CommonMark parser with tables finds, and the text; our own line break apart."""
    tokens = MarkdownIt("commonmark").enable("table").enable("strikethrough").parse(markdown)
    inner = [child for token in tokens for child in token.children or ()]
    inner = [child for child in inner if (child.type, child.content) != ("html_inline", "<br>")]
    assert not [child.content for child in inner if child.type == "html_inline"]
    return {token.type for token in [*tokens, *inner]}, "".join(child.content for child in inner)


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=60))
def test_escaped_markdown_is_one_paragraph_of_text_that_reads_as_it_was_written(text):
    text = " ".join(shown(text).split())
    tokens = MarkdownIt("commonmark").enable("strikethrough").parse(escaped(text))
    assert [token.type for token in tokens] == (["paragraph_open", "inline", "paragraph_close"] if text else [])
    assert "".join(child.content for token in tokens for child in token.children or ()) == text


@pytest.mark.parametrize(
    "start", ["- a", "+ a", "1. a", "2) a", "# a", "> a", "    a", "---", "===", "a\n---", "a\n===", "| a |"]
)
def test_no_line_of_a_persons_text_starts_a_list_a_heading_a_quotation_or_a_code_block(start):
    kinds = {token.type for token in MarkdownIt("commonmark").enable("table").parse(escaped(start))}
    assert kinds == {"paragraph_open", "inline", "paragraph_close"}


def test_control_codes_and_marks_of_direction_are_shown_in_every_format():
    report = report_of(NASTY, line=NASTY)
    word = word_texts(as_word(report))[1]
    for text in (as_html(report), as_markdown(report), word):
        assert not UNSEEN.search(text)
        assert "U+202E" in text
        assert "U+001B" in text
        assert "U+D800" in text
        text.encode("utf-8")
    assert docx.Document(io.BytesIO(as_word(report))).paragraphs


def test_a_text_of_a_hundred_kilobytes_is_held_whole():
    long = "<i>x</i> " * 12_000
    report = report_of(long, line="line")
    assert as_html(report).count("&lt;i&gt;x&lt;/i&gt;") >= 12_000
    assert word_texts(as_word(report))[1].count("<i>x</i>") >= 12_000
    assert as_markdown(report).count(r"\<i\>x\</i\>") >= 12_000


def test_a_terminal_shows_hostile_texts_as_text(hostile):
    _, _, path = hostile
    done = subprocess.run(
        [sys.executable, "-m", "cli", "weigh", str(path), "--plain", "--chainer", "python"],
        cwd=ROOT,
        capture_output=True,
        check=True,
        env={**os.environ, "COLUMNS": "200", "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8"},
    )
    text = done.stdout.decode("utf-8")
    assert "<script>alert(1)</script>" in text
    assert "[link]" in text
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)


def test_a_report_is_plain_data_without_markup(full_report):
    assert dataclasses.is_dataclass(full_report)
    assert "Markup" not in repr(full_report)[:2000]
