"""`case photographs`: which are there and unchanged, and their digests written into the case."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cli.exits import FAILURE, PARTLY
from cli.inputs import is_workbook, open_case, open_rulebook

if TYPE_CHECKING:
    from engine.case.photographs import Held

_STATES = {
    "as-recorded": "as recorded",
    "not-recorded": "there; no digest recorded",
    "changed": "changed since it was recorded",
    "missing": "missing",
    "unreadable": "cannot be read",
}


def run(path: Path, folders: Sequence[Path] | None, *, record: bool, as_json: bool) -> None:
    """Print the state of every photograph; with ``record`` new ones get digests. Exits with 5 when one is amiss."""
    from engine.case.photographs import read_photographs

    if record and is_workbook(path):
        print(f"{path}: a workbook is not written into; make a case file of it first", file=sys.stderr)
        sys.exit(FAILURE)
    case = open_case(path, open_rulebook(folders))
    found = read_photographs(case, path.parent)
    if as_json:
        print(json.dumps([_data(held) for held in found], ensure_ascii=False, indent=2))
    else:
        for held in found:
            print(f"{held.photograph.file}: {_STATES[held.state]}: {held.area}: {held.photograph.caption}")
        if not found:
            print("The case names no photographs.")
    for held in found:
        for told in held.told:
            print(told, file=sys.stderr)
    if record:
        _record(path, [area.id for area in case.areas], found)
    if any(held.state in ("changed", "missing", "unreadable") for held in found):
        sys.exit(PARTLY)


def _record(path: Path, areas: Sequence[str], found: Sequence[Held]) -> None:
    """Write the digest of each photograph that has none; a changed one keeps the digest that it had."""
    from engine.case.migrating import refuse_old
    from engine.case.saving import save_over
    from engine.case.setting import with_value
    from engine.documents import read_document, read_text

    before = text = read_text(path)
    refuse_old(read_document(path, text=text))
    new = [held for held in found if held.state == "not-recorded" and held.digest is not None]
    for held in new:
        place = ("areas", areas.index(held.area), "photographs", held.position, "sha256")
        changed = with_value(text, path, place, str(held.digest))
        if changed is None:
            said = "is written in a way in which a line cannot be added to it alone; give it sha256"
            print(f"{path}: left as it is: {held.photograph.file} {said}: {held.digest}", file=sys.stderr)
            sys.exit(FAILURE)
        text = changed
    if new:
        save_over(path, text, before)
    print(f"{path}: {len(new)} digest{'' if len(new) == 1 else 's'} recorded", file=sys.stderr)


def _data(held: Held) -> dict[str, object]:
    photograph = held.photograph
    return {
        "area": held.area,
        "file": photograph.file,
        "caption": photograph.caption,
        "state": held.state,
        "sha256": held.digest,
        "warnings": list(held.warnings),
    }
