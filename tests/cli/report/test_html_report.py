"""The HTML report stands alone, is sound HTML for keyboards and screen readers, and prints on A4."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

from cli.report.html import TEMPLATES

ROOT = Path(__file__).resolve().parents[3]
VOID = {"meta", "br", "img", "path", "use", "hr"}


class Tree(HTMLParser):
    """Checks that elements nest, and gathers them."""

    def __init__(self, text):
        super().__init__()
        self.open, self.elements = [], []
        self.feed(text)
        self.close()
        assert not self.open

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.open.pop() == tag


@pytest.fixture(scope="module")
def elements(full_html):
    return Tree(full_html).elements


def test_the_file_refers_to_nothing_outside_itself(full_html, elements):
    assert not re.search(r"(?i)(src|href)\s*=\s*[\"']?(https?:|//|file:)", full_html)
    style = (TEMPLATES / "report.css").read_text(encoding="utf-8")
    assert "url(" not in style
    assert "@import" not in style
    policy = [attributes["content"] for tag, attributes in elements if attributes.get("http-equiv")]
    assert policy == ["default-src 'none'; style-src 'unsafe-inline'; img-src data:"]
    assert "script" not in {tag for tag, _ in elements}


def test_it_has_its_language_one_first_heading_and_its_landmarks(elements):
    tags = [tag for tag, _ in elements]
    assert dict(elements)["html"] == {"lang": "en-GB"}
    assert tags.count("h1") == 1
    assert [tags.count(name) for name in ("header", "nav", "main", "footer")] == [1, 1, 1, 1]
    links = [attributes.get("href") for tag, attributes in elements if tag == "a"]
    assert links[0] == "#main"


def test_headings_go_down_one_level_at_a_time(elements):
    levels = [int(tag[1]) for tag, _ in elements if re.fullmatch(r"h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_every_inner_link_leads_somewhere_and_no_id_stands_twice(elements):
    ids = [attributes["id"] for _, attributes in elements if attributes.get("id")]
    assert len(ids) == len(set(ids))
    inner = {attributes["href"][1:] for tag, attributes in elements if tag == "a"}
    assert inner <= set(ids)


def test_every_table_has_a_caption_a_header_row_and_scopes(elements):
    count = {name: [tag for tag, _ in elements].count(name) for name in ("table", "caption", "thead", "tbody")}
    assert len(set(count.values())) == 1
    assert count["table"] > 20
    assert all(attributes.get("scope") in ("col", "row") for tag, attributes in elements if tag == "th")


def test_every_picture_has_words_in_its_place(elements):
    assert all(attributes.get("alt") for tag, attributes in elements if tag == "img")


def test_the_print_style_repeats_header_rows_and_keeps_rows_whole():
    style = (TEMPLATES / "report.css").read_text(encoding="utf-8")
    printed = style[style.index("@media print") :]
    assert "size: A4" in printed
    assert "display: table-header-group" in printed
    assert re.search(r"\.short, \.notice, figure, tr \{ break-inside: avoid; \}", printed)
    assert "prefers-color-scheme: dark" in style


@pytest.fixture(scope="module")
def printed(full_html, printed_pages):
    return printed_pages(full_html)


def test_the_householders_version_is_the_first_printed_page_and_one_page_long(printed):
    assert "For the householder" in printed[0]
    assert "What this page does not say" in printed[0]
    assert "Technical report" not in printed[0]
    assert "Technical report" in printed[1][:40]


def test_every_printed_page_of_a_long_table_begins_with_its_header_row(printed):
    row = re.compile(r"^\d+ \d+ 0 lime plaster", re.MULTILINE)
    pages = [page for page in printed if len(row.findall(page)) > 2]
    assert len(pages) > 1
    for page in pages:
        assert page.index("Right [mm]") < row.search(page).start()


def contrast(first, second):
    """Contrast ratio of two colours #rrggbb (WCAG 2.1, from memory: 4.5 for text, 3 for large text and marks)."""

    def luminance(colour):
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_text_stands_out_from_its_ground_in_light_dark_and_print():
    style = (TEMPLATES / "report.css").read_text(encoding="utf-8")
    schemes = [dict(re.findall(r"--(\w+): (#\w{6})", block)) for block in re.findall(r":root \{([^}]*)\}", style)]
    assert len(schemes) == 3
    for scheme in schemes:
        for ink in ("ink", "soft", "mark"):
            for ground in ("paper", "tint"):
                assert contrast(scheme[ink], scheme[ground]) >= 4.5, (ink, ground)


@pytest.fixture(scope="module")
def browsed(full_html, hostile_html, tmp_path_factory):
    """What headless Chromium and axe-core find in the full and in the hostile report."""
    modules = os.environ.get("DAMPWRIGHT_AXE")
    chromium = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if not modules or not chromium or not shutil.which("node"):
        pytest.skip("needs node, Chromium and DAMPWRIGHT_AXE, a folder node_modules with playwright-core and axe-core")
    folder = tmp_path_factory.mktemp("browsed")
    found = {}
    for name, text in (("full", full_html), ("hostile", hostile_html)):
        (folder / f"{name}.html").write_text(text, encoding="utf-8")
        script = ROOT / "tests" / "tools" / "axe_report.mjs"
        done = subprocess.run(
            ["node", script, modules, chromium, folder / f"{name}.html"], capture_output=True, text=True, check=True
        )
        found[name] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("name", ["full", "hostile"])
def test_axe_finds_no_fault_and_no_request_leaves_the_page(browsed, name):
    assert browsed[name]["violations"] == []
    assert browsed[name]["requests"] == []
    assert browsed[name]["dialogs"] == 0
    assert browsed[name]["errors"] == []


@pytest.mark.parametrize("name", ["full", "hostile"])
def test_nothing_sticks_out_of_a_printed_a4_page(browsed, name):
    assert browsed[name]["sticking_out"] == []
    assert browsed[name]["widest"] <= 0
