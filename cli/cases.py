"""`case check`, `case schema` and `case make`, whose list for a visit is made from desk facts."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from cli.exits import FAILURE
from cli.inputs import is_workbook, open_case, open_rulebook

if TYPE_CHECKING:
    from engine.case.models import Case
    from engine.rulebook import Rulebook


def check(path: Path, folders: Sequence[Path] | None) -> None:
    """Print what a sound case holds; InvalidInput lists the faults of an unsound one."""
    case = open_case(path, open_rulebook(folders))
    facts = len(case.dwelling.facts) + sum(len(visit.facts) for visit in case.visits)
    for area in case.areas:
        facts += len(area.facts) + sum(len(surface.facts) for surface in area.surfaces)
    readings = sum(len(surface.readings) for area in case.areas for surface in area.surfaces)
    print(f"{path}: sound")
    print(f"areas {len(case.areas)}, visits {len(case.visits)}, facts {facts}, readings {readings}")


def schema(folders: Sequence[Path] | None) -> None:
    """Print the JSON Schema of the case format."""
    from engine.case import case_schema

    print(json.dumps(case_schema(open_rulebook(folders)), ensure_ascii=False, indent=2))


def make(output: Path, folders: Sequence[Path] | None, source: Path | None) -> None:
    """Write a starting file or form, or a case again in the kind that the output's name says; overwrite nothing."""
    rulebook = open_rulebook(folders)
    case = open_case(source, rulebook) if source is not None else None
    content = _form(case, rulebook) if is_workbook(output) else _text(case, rulebook, output)
    if str(output) == "-":
        sys.stdout.write(content.decode("utf-8"))
        return
    from engine.case.saving import save_new

    try:
        save_new(output, content)
    except FileExistsError:
        print(f"{output}: already exists and is left as it is; choose another name", file=sys.stderr)
        sys.exit(FAILURE)
    if case is None and output.suffix.lower() == ".json":
        said = "JSON has no place for the comments that explain each field; a .yaml file has them"
        print(f"{output}: {said}", file=sys.stderr)
    said = f"written from {source}; it gives the same opinion" if source else "written; fill it in"
    print(f"{output}: {said}, then run: dampwright weigh {output}", file=sys.stderr)
    if case is not None and source is not None:
        _tell_left_out(case, source, output)


def _form(case: Case | None, rulebook: Rulebook) -> bytes:
    from engine.case.workbook.writing import starting_case, write_form

    return write_form(case or starting_case(date.today()), rulebook)


def _text(case: Case | None, rulebook: Rulebook, output: Path) -> bytes:
    from engine.case import starting_file
    from engine.case.writing import case_text, is_json, json_text
    from engine.documents import read_document

    if case is not None:
        text = case_text(case, output)
    else:
        text = starting_file(rulebook, day=date.today())
        if is_json(output):  # which has no place for the comments
            text = json_text(read_document(Path("case.yaml"), text=text).data)
    return text.encode("utf-8")


def _tell_left_out(case: Case, source: Path, output: Path) -> None:
    if case.key is not None and is_workbook(output):
        print("Left out: the key of this worked case, which a form has no place for.", file=sys.stderr)
    beside = any(area.loggers or area.photographs for area in case.areas)
    if beside and output.resolve().parent != source.resolve().parent:
        print("The case names files beside it; they must lie beside the new file as well.", file=sys.stderr)


def prepare(path: Path, folders: Sequence[Path] | None, *, plain: bool) -> None:
    """Print what to look at, where to press and what to bring, from what is known at the desk."""
    from cli.views.console import results
    from cli.views.page import Page
    from cli.views.site_list import show_site_list
    from engine.inquiry.site_list import site_list
    from engine.opinion.reasoner import Reasoner
    from engine.visiting import at_the_desk

    rulebook = open_rulebook(folders)
    found = site_list(Reasoner(rulebook), at_the_desk(open_case(path, rulebook)), path.parent)
    show_site_list(found, Page(results(plain=plain or not sys.stdout.isatty())))
