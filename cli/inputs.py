"""What most commands begin with: the rule base, and a case read against its vocabulary."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.case.models import Case
    from engine.rulebook import Rulebook


def open_rulebook(folders: Sequence[Path] | None) -> Rulebook:
    """The rule base with a firm's own folders; InvalidInput lists its faults.

    It lives as long as the program, so the garbage collector, at rest since the start, never walks it.
    """
    import gc

    from engine.rulebook import load_rulebook

    rulebook = load_rulebook(tuple(folders or ()))
    gc.freeze()
    gc.enable()
    return rulebook


def open_case(path: Path, rulebook: Rulebook) -> Case:
    """A case read against the rule base's vocabulary; InvalidInput lists its faults.

    That a file is in an older format is said on standard error; the file stays as it is.
    """
    from engine.case import parse_case, read_case
    from engine.case.migrating import FORMAT, format_of, is_old
    from engine.documents import read_document

    if is_workbook(path):
        return read_case(path, vocabulary=rulebook)
    document = read_document(path)
    case = parse_case(document, rulebook)
    if is_old(document):
        said = f"format {format_of(document)} is read as format {FORMAT}, and the file stays as it is"
        print(f"{path}: {said}; to bring it up to date: dampwright case migrate {path}", file=sys.stderr)
    return case


def is_workbook(path: Path) -> bool:
    """Whether a case stands in a filled-in form, by its name."""
    from engine.case.reading import WORKBOOK

    return path.suffix.lower() == WORKBOOK


def written_case(path: Path, rulebook: Rulebook) -> tuple[str, Path]:
    """The text of a case file and its path; of a workbook the text of the case file made from it, and such a name."""
    from engine.case import write_case
    from engine.documents import read_text

    if not is_workbook(path):
        return read_text(path), path
    return write_case(open_case(path, rulebook)), path.with_suffix(".yaml")
