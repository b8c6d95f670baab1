"""A report as Markdown for tickets (CommonMark with tables): what a person wrote is text, whatever it looks like."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from cli.report.text import shown
from engine.reporting import Report
from engine.reporting.blocks import Block, Notice, Paragraph, Photograph, Picture, Points, Section, Table
from engine.rulebook.telling import Entry

DEEPEST = 6
"""Markdown knows six levels of headings."""
_MARKUP = re.compile(r"([\\`*_\[\]<>|#~&$@!^={}])")
_LIST_MARK = re.compile(r"^([-+]|\d{1,9}[.)])(?=\s|$)")
_RULE = re.compile(r"^([-+])")
_INDENT = re.compile(r"^[ \t]+")
_LINK = re.compile(r"(?i)\b(https?|ftp|www|mailto)([:.])")


def as_markdown(report: Report) -> str:
    """The report as Markdown text; the same report gives the same text."""
    lines = [f"# {'DRAFT: ' if report.draft else ''}{escaped(report.title)}", ""]
    lines += [escaped(report.about), ""]
    for part in report.parts:
        lines += [f"## {escaped(part.title)}", ""]
        for section in part.sections:
            lines += _section(section, 3)
    return "\n".join([*lines, "---", "", escaped(report.pins), ""])


def escaped(text: str, newline: str = "\\\n") -> str:
    """Text in which nothing is markup: not at the start of a line, not within it, and no address becomes a link."""
    return newline.join(_line(line) for line in shown(text).split("\n"))


def _line(line: str) -> str:
    line = _LINK.sub(lambda found: f"{found[1]}&#{ord(found[2])};", _MARKUP.sub(r"\\\1", line))
    indent = _INDENT.match(line)
    if indent:
        line = "&nbsp;" * len(indent[0]) + line[indent.end() :]
    mark = _LIST_MARK.match(line)
    if mark:
        line = f"{mark[1][:-1]}\\{mark[1][-1]}{line[mark.end() :]}"
    return _RULE.sub(r"\\\1", line)


def _section(section: Section, level: int) -> Iterator[str]:
    yield from (f"{'#' * min(level, DEEPEST)} {escaped(section.title)}", "")
    for block in section.blocks:
        yield from _block(block)
        yield ""
    for under in section.sections:
        yield from _section(under, level + 1)


def _block(block: Block) -> Iterable[str]:
    match block:
        case Paragraph(text, lead):
            return (f"{f'**{escaped(lead.strip())}** ' if lead else ''}{escaped(text)}",)
        case Points(entries, numbered):
            return _entries(entries, 0, numbered)
        case Table():
            return _table(block)
        case Notice(_, title, text):
            return (f"> **{escaped(title)}.** {escaped(text, newline=' ')}",)
        case Picture(figure):
            return (f"**{escaped(figure.title)}.** {escaped(figure.alt)}", "", *_table(figure.table))
        case Photograph():
            said = f"**Photograph.** {escaped(block.caption)} {escaped(block.alt)}".rstrip()
            return (f"{said} {escaped(block.about)}",)


def _entries(entries: Iterable[Entry], depth: int, numbered: bool) -> Iterator[str]:
    for number, entry in enumerate(entries, start=1):
        mark = f"{number}." if numbered else "-"
        margin = "   " * depth
        follow = f"\\\n{margin}{' ' * (len(mark) + 1)}"
        yield f"{margin}{mark} {escaped(entry.text, newline=follow)}"
        yield from _entries(entry.under, depth + 1, False)


def _table(table: Table) -> Iterator[str]:
    yield from (f"**{escaped(table.caption)}**", "")
    yield _row(table.header)
    yield "|" + "|".join(" ---: " if column in table.figures else " --- " for column in range(len(table.header))) + "|"
    for row in table.rows:
        yield _row(row)


def _row(cells: Iterable[str]) -> str:
    return "| " + " | ".join(escaped(cell, newline="<br>") for cell in cells) + " |"
