"""Records and lists of records on a terminal."""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.text import Text

from cli.views.page import Page
from cli.views.phrases import sentence_case

if TYPE_CHECKING:  # a page of one record needs neither the weighing nor numpy
    from engine.opinion.comparing import Moved
    from engine.rulebook.comparing_bases import RecordChange
    from engine.rulebook.showing import Showing
    from engine.rulebook.telling import Entry


def show_record(record: Showing, console: Console) -> None:
    """Print a record's page."""
    page = Page(console)
    page.line(Text(sentence_case(record.title), style="bold"))
    page.line(f"{record.kind} {record.id}, written at {record.written_at}")
    if record.replaces:
        page.line(f"replaces the record at {record.replaces}")
    for section in record.sections:
        page.heading(section.title)
        for entry in section.entries:
            _show_entry(entry, page, 2)


def _show_entry(entry: Entry, page: Page, indent: int) -> None:
    page.bullet(entry.text, indent)
    for inner in entry.under:
        _show_entry(inner, page, indent + 2)


def show_list(rows: Sequence[tuple[str, str, str]], console: Console) -> None:
    """Print ids and titles under the name of their kind."""
    page = Page(console)
    for number, (kind, group) in enumerate(groupby(rows, key=lambda row: row[0])):
        records = list(group)
        if number:
            page.line()
        page.line(Text(f"{kind.replace('_', ' ')}: {len(records)}", style="bold"))
        for _, name, title in records:
            page.line(f"{name}  {title}", indent=2, hanging=4)


def show_changes(changes: Sequence[RecordChange], moved: Sequence[Moved], cases: int, console: Console) -> None:
    """Print the records that differ, then the results that move, by case and area."""
    page = Page(console)
    page.line(Text(f"Records that differ: {len(changes)}", style="bold"))
    for change in changes:
        page.bullet(f"{change.what}: {change.kind} {change.id} ({change.title}), {change.at}")
        for field in change.fields:
            page.bullet(f"{field.field}: {_plain(field.before)} → {_plain(field.after)}", 4)
    page.line()
    page.line(Text(f"Results that move, over {cases} cases: {len(moved)}", style="bold"))
    for (case, area), group in groupby(moved, key=lambda one: (one.case, one.area)):
        page.bullet(f"{case}, {area}" if area else case)
        for one in group:
            page.bullet(f"{one.what}: {one.before} → {one.after}", 4)


def _plain(value: Any) -> str:
    if value is None:
        return "not set"
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
