"""`case readings`: readings from a table into a case, with a preview, and nothing half-imported."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from cli.exits import FAILURE, USAGE
from cli.inputs import open_rulebook, written_case

if TYPE_CHECKING:
    from engine.case.importing import Imported

_WHERE = "say where to write: -o OUT for a new file, --in-place for the case itself, or --dry-run for a preview only"


def bring_in(
    path: Path,
    table_path: Path,
    *,
    area: str | None,
    surface: str | None,
    visit: str | None,
    sheet: str | None,
    ignored: Sequence[str],
    output: Path | None,
    in_place: bool,
    dry_run: bool,
    plain: bool,
    folders: Sequence[Path] | None,
) -> None:
    """Import readings and write the case; InvalidInput lists every fault, and then nothing is written."""
    if output is not None and in_place:
        _stop("-o and --in-place exclude each other", USAGE)
    if output is None and not in_place and not dry_run:
        _stop(_WHERE, USAGE)
    if output is not None and str(output) != "-" and output.exists():
        _stop(f"{output}: already exists and is left as it is; choose another name", FAILURE)
    from engine.case.columns import recognised
    from engine.case.importing import import_readings
    from engine.case.migrating import refuse_old
    from engine.case.tables import read_table
    from engine.documents import read_document

    rulebook = open_rulebook(folders)
    text, named = written_case(path, rulebook)
    if in_place and named != path:
        _stop(f"{path}: a workbook is not written into; use -o OUT.yaml, or type the readings into it", FAILURE)
    document = read_document(named, text=text)
    if in_place:
        refuse_old(document)
    table = read_table(table_path, recognised, sheet=sheet)
    imported = import_readings(
        document, table, area=area, surface=surface, visit=visit, ignored=ignored, vocabulary=rulebook
    )
    _preview(imported, plain=plain, aside=str(output) == "-")
    if dry_run:
        print("A preview only: nothing was written.", file=sys.stderr)
    elif in_place:
        _write_in_place(path, text, imported)
    elif output is not None:
        _write_new(named, output, text, imported)


def _write_in_place(path: Path, text: str, imported: Imported) -> None:
    from engine.case.inserting import with_readings
    from engine.case.saving import save_over

    new = with_readings(text, imported)
    if new is None:
        said = "its surface is written in a way in which lines cannot be added without rewriting the file, and comments"
        _stop(f"{path}: left as it is: {said} would be lost; use -o OUT", FAILURE)
    save_over(path, new, text)
    print(f"{path}: {_count(imported)} added", file=sys.stderr)


def _write_new(path: Path, output: Path, text: str, imported: Imported) -> None:
    from engine.case.inserting import rewritten, with_readings
    from engine.case.saving import save_new

    new = with_readings(text, imported) if str(output) == "-" or _kind(path) == _kind(output) else None
    if new is None:
        new = rewritten(imported, path if str(output) == "-" else output)
        print("The case had to be written anew; comments in it were not taken over.", file=sys.stderr)
    if str(output) == "-":
        sys.stdout.write(new)
        return
    try:
        save_new(output, new)
    except FileExistsError:
        _stop(f"{output}: already exists and is left as it is; choose another name", FAILURE)
    print(f"{output}: written with {_count(imported)} added", file=sys.stderr)
    beside = any(area.loggers or area.photographs for area in imported.case.areas)
    if beside and output.resolve().parent != path.resolve().parent:
        print("The case names files beside it; they must lie beside the new file as well.", file=sys.stderr)


def _preview(imported: Imported, *, plain: bool, aside: bool) -> None:
    from cli.views.console import results
    from cli.views.readings import show_import

    console = results(plain=plain)
    if aside:
        console.stderr = True
    show_import(imported, console)


def _count(imported: Imported) -> str:
    count = len(imported.readings)
    return f"{count} reading{'' if count == 1 else 's'}"


def _kind(path: Path) -> bool:
    return path.suffix.lower() == ".json"


def _stop(message: str, code: int) -> NoReturn:
    print(message, file=sys.stderr)
    sys.exit(code)
