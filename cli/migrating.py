"""`case migrate`: a case file of an older format brought up to date, with the file as it was beside it."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cli.exits import USAGE
from cli.inputs import is_workbook, open_rulebook

if TYPE_CHECKING:
    from engine.case.models import Case
    from engine.documents import Document


def run(path: Path, folders: Sequence[Path] | None) -> None:
    """Keep a backup and write the case in today's format; InvalidInput where it is not sound even then."""
    from engine.case import parse_case
    from engine.case.migrating import FORMAT, back_up, brought_up_to_date, format_of, is_old
    from engine.case.saving import save_over
    from engine.documents import read_document, read_text

    if is_workbook(path):
        print(f"{path}: a form is not migrated; fill in a new one: dampwright case make -o NEW.xlsx", file=sys.stderr)
        sys.exit(USAGE)
    text = read_text(path)
    document = read_document(path, text=text)
    present = brought_up_to_date(document)
    case = parse_case(present, open_rulebook(folders))
    before = format_of(document)
    if before is None or not is_old(document):
        print(f"{path}: is in format {FORMAT} already; nothing was done", file=sys.stderr)
        return
    new, kept_layout = _text(path, text, document, present, case)
    backup = back_up(path, before)
    save_over(path, new, text)
    print(f"{path}: brought from format {before} to {FORMAT}; {backup.name} holds it as it was", file=sys.stderr)
    if "#" in text and not kept_layout:
        print("The case had to be written anew; comments in it are only in the backup.", file=sys.stderr)


def _text(path: Path, text: str, document: Document, present: Document, case: Case) -> tuple[str, bool]:
    """The text in today's format; where values alone have changed, everything else in it stays as it was written."""
    from engine.case.migrating import changes
    from engine.case.setting import with_value
    from engine.case.writing import case_text

    changed: str | None = text
    for place, value in changes(document.data, present.data):
        if changed is not None:
            changed = with_value(changed, path, place, value) if place and isinstance(value, (str, int)) else None
    return (changed, True) if changed is not None else (case_text(case, path), False)
