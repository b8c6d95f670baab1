"""The trainee's record from the command line: where it lies, shown, exported, deleted."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cli.exits import FAILURE, USAGE
from cli.practising.opening import stop

if TYPE_CHECKING:
    from engine.practising.record import Record


def folder(data: Path | None) -> Path:
    """The folder of the record: the one named, else the trainee's own data folder."""
    from platformdirs import user_data_path

    return data or user_data_path("dampwright", appauthor=False)


def open_record(data: Path | None) -> Record:
    """The record, begun where there is none."""
    from engine.practising.record import Record

    return Record(folder(data))


def show(data: Path | None, rules: Sequence[Path] | None, *, as_json: bool, plain: bool) -> None:
    """Print the record."""
    from cli.inputs import open_rulebook
    from cli.practising.session import titles
    from cli.views.console import results
    from cli.views.page import Page
    from cli.views.practice_record import show_record
    from engine.practising.exporting import record_json
    from engine.practising.progress import progress

    with open_record(data) as record:
        if as_json:
            sys.stdout.write(record_json(record))
            return
        rulebook = open_rulebook(rules)
        show_record(
            record.exercises(), progress(record), titles(rulebook), str(record.path), Page(results(plain=plain))
        )


def show_again(number: int, data: Path | None, rules: Sequence[Path] | None, *, plain: bool) -> None:
    """Print a review that was kept."""
    from cli.inputs import open_rulebook
    from cli.practising.session import titles
    from cli.views.console import results
    from cli.views.page import Page
    from cli.views.practice_review import show_review

    with open_record(data) as record:
        found = next((one for one in record.exercises() if one.number == number), None)
    if found is None or found.review is None:
        stop(f"--review: exercise {number} {'is not in the record' if found is None else 'has no review yet'}", USAGE)
    show_review(found.review, titles(open_rulebook(rules)), Page(results(plain=plain)))


def export(path: Path, data: Path | None) -> None:
    """Write the record to a file, as .json with everything or .csv with a row for each exercise; never over another."""
    from engine.case.saving import save_new
    from engine.practising.exporting import record_csv, record_json

    kinds = {".json": record_json, ".csv": record_csv}
    if path.suffix.lower() not in kinds:
        stop(f"{path}: a record is exported to a name that ends in .json or .csv", USAGE)
    with open_record(data) as record:
        text = kinds[path.suffix.lower()](record)
    try:
        save_new(path, text)
    except FileExistsError:
        stop(f"{path}: there is a file of that name; name another or move it", FAILURE)
    print(f"{path}: the record is written", file=sys.stderr)


def delete(data: Path | None, *, sure: bool) -> None:
    """Delete the record for good; asked about at a terminal, elsewhere only where --yes says so."""
    with open_record(data) as record:
        count = len(record.exercises())
        if not sure:
            if not sys.stdin.isatty():
                stop(f"{record.path}: {count} exercises stay; without a terminal add --yes to delete them", USAGE)
            print(
                f"Delete {count} exercises in {record.path} for good? (yes deletes) ",
                end="",
                file=sys.stderr,
                flush=True,
            )
            if sys.stdin.readline().strip().lower() != "yes":
                stop("Nothing was deleted.", FAILURE)
        record.delete()
    print(f"{record.path}: deleted, {count} exercises", file=sys.stderr)
