"""What most commands begin with: the rule base, and a case read against its vocabulary."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.case.models import Case
    from engine.rulebook import Rulebook


def open_rulebook(folders: Sequence[Path] | None) -> Rulebook:
    """The rule base with a firm's own folders; InvalidInput lists its faults.

    It lives as long as the program, so the garbage collector is told to walk it no more.
    """
    import gc

    from engine.rulebook import load_rulebook

    rulebook = load_rulebook(tuple(folders or ()))
    gc.freeze()
    return rulebook


def open_case(path: Path, rulebook: Rulebook) -> Case:
    """A case read against the rule base's vocabulary; InvalidInput lists its faults."""
    from engine.case import read_case

    return read_case(path, vocabulary=rulebook)


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
