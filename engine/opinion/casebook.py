"""Worked cases in folders: reading them, and which rules of a base they set off."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import engine
from engine.case.models import Case
from engine.errors import InvalidInput, Problem
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import weigh_with

_SUFFIXES = (".yaml", ".yml", ".json")


def own_casebook() -> Path:
    """The folder of the program's own worked cases, beside the package ``engine``."""
    return Path(engine.__file__).parent.parent / "casebook"


def case_files(folders: Sequence[Path] = ()) -> tuple[Path, ...]:
    """Every case file of the folders and those within them, by name; of the program's own casebook by default.

    InvalidInput for a folder that is not there or holds no case file.
    """
    found: list[Path] = []
    problems = []
    for folder in folders or (own_casebook(),):
        files = sorted(path for path in folder.rglob("*") if path.suffix.lower() in _SUFFIXES and path.is_file())
        if not files:
            what = "a folder without a case file" if folder.is_dir() else "no such folder"
            problems.append(Problem(str(folder), None, "", what, "a folder of case files"))
        found += files
    if problems:
        raise InvalidInput(problems)
    return tuple(dict.fromkeys(found))


def fired_rules(reasoner: Reasoner, cases: Iterable[tuple[Case, Path | None]]) -> frozenset[str]:
    """The ids of the written rules that fire on at least one area of the cases, each with its own folder.

    Rules that ``observed_by`` makes do not count. The cases must have been read against this rule base.
    """
    written = reasoner.rulebook.rules.keys()
    return frozenset(
        line.rule
        for case, folder in cases
        for area in weigh_with(reasoner, case, folder=folder).areas
        for line in area.trace
        if line.rule in written
    )
