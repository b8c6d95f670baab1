"""What an import of readings is about to do: where they go, how the table was understood, and the first of them."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from engine.case.importing import Imported
from engine.case.tables import SEPARATORS

_FIRST = 6
_MARKS = {".": "decimal point", ",": "decimal comma"}


def show_import(imported: Imported, console: Console) -> None:
    """Print the preview of an import."""
    count = len(imported.readings)
    where = f"surface {imported.surface.id} of area {imported.area.id}, visit {imported.visit.id}"
    console.print(Text(f"{count} reading{'' if count == 1 else 's'} for {where}", style="bold"))
    for line in (_form(imported), _columns(imported), *_spans(imported), *imported.remarks):
        console.print(Padding(Text(line), (0, 0, 0, 2), expand=False))
    fields = [name for name in imported.columns_filled if name != "visit"]
    table = Table(box=box.SIMPLE, show_edge=False, pad_edge=False)
    for name in ("line", *fields):
        table.add_column(Text(name), justify="left" if name in ("instrument", "material", "note") else "right")
    for line_number, reading in list(zip(imported.lines, imported.readings, strict=True))[:_FIRST]:
        table.add_row(Text(str(line_number)), *(Text(_shown(reading.get(name))) for name in fields))
    console.print(table)
    if count > _FIRST:
        console.print(Text(f"  and {count - _FIRST} more"))


def _form(imported: Imported) -> str:
    table = imported.table
    parts = [f"from {table.name}"]
    if table.sheet:
        parts.append(f"sheet {table.sheet}")
    if table.separator:
        parts.append(f"{SEPARATORS[table.separator]} between fields")
    if imported.decimal_mark:
        parts.append(_MARKS[imported.decimal_mark])
    return ", ".join(parts)


def _columns(imported: Imported) -> str:
    taken = ", ".join(
        column.header if column.header == column.field else f"{column.header} as {column.field}"
        for column in imported.columns
    )
    return f"columns: {taken}" + (f"; ignored: {', '.join(imported.ignored)}" if imported.ignored else "")


def _spans(imported: Imported) -> list[str]:
    return [
        f"{span.instrument.id} ({span.instrument.mode}, {span.instrument.scale}): {span.places} "
        f"place{'' if span.places == 1 else 's'}, from {span.lowest:g} to {span.highest:g}"
        for span in imported.instruments
    ]


def _shown(value: object) -> str:
    if isinstance(value, (list, tuple)):
        return " ".join(f"{one:g}" for one in value)
    if isinstance(value, (int, float)):
        return f"{value:g}"
    return "" if value is None else str(value)
