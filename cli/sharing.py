"""`case redact`, `case seal` and `case unseal`: a case made ready to be given to others."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cli.exits import USAGE
from cli.inputs import is_workbook, open_case, open_rulebook

if TYPE_CHECKING:
    from engine.case.models import Case
    from engine.opinion.comparing import Moved
    from engine.rulebook import Rulebook


def redacted(path: Path, output: Path, folders: Sequence[Path] | None, *, photographs: bool, plain: bool) -> None:
    """Write a redacted copy; print what was taken out, the text that is left, and what cannot be promised."""
    from cli.views.console import results
    from cli.views.page import Page
    from cli.views.redaction import show_redaction
    from engine.case.writing import case_text
    from engine.opinion.comparing import POINTS
    from engine.sharing.companions import packed
    from engine.sharing.redacting import redact
    from engine.sharing.saving import folder_name, save_together

    _refuse_workbook(output)
    rulebook = open_rulebook(folders)
    case = open_case(path, rulebook)
    personal = [question.id for question in rulebook.questions.values() if question.personal]
    redaction = redact(case, personal, photographs=photographs)
    pack = packed(redaction.case, path.parent, folder_name(output))
    save_together(output, case_text(pack.case, output), pack.files)
    moved = _moved(case, path.parent, pack.case, output.parent, rulebook)
    show_redaction(redaction, moved, POINTS, Page(results(plain=plain or not sys.stdout.isatty())))
    for warning in pack.warnings:
        print(warning, file=sys.stderr)
    print(f"{output}: written{_with_files(output, len(pack.files))}", file=sys.stderr)


def sealed(path: Path, output: Path, key: Path, folders: Sequence[Path] | None) -> None:
    """Write a case without its answers, and the answers beside it."""
    from engine.case.writing import case_text
    from engine.sharing.companions import packed
    from engine.sharing.saving import folder_name, save_together
    from engine.sharing.sealing import key_text, seal

    _refuse_workbook(output)
    if key.resolve() == output.resolve():
        print(f"{key}: the answers go into a file apart from the case", file=sys.stderr)
        sys.exit(USAGE)
    rulebook = open_rulebook(folders)
    pack = packed(open_case(path, rulebook), path.parent, folder_name(output))
    case, answers = seal(pack.case, rulebook)
    save_together(key, key_text(answers), {})
    try:
        save_together(output, case_text(case, output), pack.files)
    except OSError:
        key.unlink()
        raise
    for warning in pack.warnings:
        print(warning, file=sys.stderr)
    print(f"{output}: written without its answers{_with_files(output, len(pack.files))}", file=sys.stderr)
    print(f"{key}: the answers, in plain text; do not give them to trainees", file=sys.stderr)
    if path.stem in output.stem:
        print(f"The name {output.name} holds that of the worked case, and may tell its answer.", file=sys.stderr)


def unsealed(path: Path, output: Path, key: Path, folders: Sequence[Path] | None) -> None:
    """Write a sealed case joined with its answers."""
    from engine.case.writing import case_text
    from engine.sharing.saving import save_together
    from engine.sharing.sealing import read_key, unseal

    _refuse_workbook(output)
    case = unseal(open_case(path, open_rulebook(folders)), read_key(key))
    save_together(output, case_text(case, output), {})
    print(f"{output}: written with its answers", file=sys.stderr)
    if (
        any(area.loggers or area.photographs for area in case.areas)
        and output.resolve().parent != path.resolve().parent
    ):
        print("The case names files beside it; they must lie beside the new file as well.", file=sys.stderr)


def _moved(case: Case, folder: Path, new: Case, beside: Path, rulebook: Rulebook) -> list[Moved]:
    """What the redaction changes in the opinion; a private fact may have carried it."""
    from engine.opinion.comparing import moved_between
    from engine.opinion.reasoner import Reasoner
    from engine.opinion.weighing import weigh_with

    reasoner = Reasoner(rulebook)
    before, after = weigh_with(reasoner, case, folder=folder), weigh_with(reasoner, new, folder=beside)
    return list(moved_between(new.id, before, after))


def _with_files(output: Path, count: int) -> str:
    from engine.sharing.saving import folder_name

    return f", with {count} file{'' if count == 1 else 's'} in {folder_name(output)}" if count else ""


def _refuse_workbook(output: Path) -> None:
    if is_workbook(output) or str(output) == "-":
        print(f"{output}: name a new case file that ends in .yaml or .json", file=sys.stderr)
        sys.exit(USAGE)
