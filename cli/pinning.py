"""Rule bases kept and cases pinned to them: `rules keep`, `rules kept`, `case pin` and `weigh --pinned`."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cli.exits import FAILURE
from cli.inputs import is_workbook, open_case, open_rulebook

if TYPE_CHECKING:
    from engine.case.models import Case
    from engine.rulebook import Rulebook


def keep(folders: Sequence[Path] | None, archive: Path | None) -> None:
    """Keep the rule base in the archive and print its digest."""
    from engine.rulebook.archive import keep as put
    from engine.rulebook.archive import own_archive

    found = put(open_rulebook(folders), archive or own_archive())
    print(found.digest)
    print(f"kept in {found.folder}", file=sys.stderr)


def list_kept(archive: Path | None) -> None:
    """Print the digests of the rule bases that are kept, with the version of the program that kept each."""
    from engine.rulebook.archive import kept, own_archive

    place = archive or own_archive()
    found = kept(place)
    for one in found:
        print(f"{one.digest}  kept by version {one.kept_by}")
    if not found:
        print(f"{place}: no rule base was kept there", file=sys.stderr)


def pin(path: Path, folders: Sequence[Path] | None, archive: Path | None) -> None:
    """Write the rule base's digest into a case, after the rule base is kept; comments and layout of the case stay."""
    from engine.case.migrating import refuse_old
    from engine.case.saving import save_over
    from engine.case.setting import with_value
    from engine.documents import read_document, read_text
    from engine.rulebook.archive import keep as put
    from engine.rulebook.archive import own_archive

    if is_workbook(path):
        print(f"{path}: a workbook is not written into; make a case file of it first", file=sys.stderr)
        sys.exit(FAILURE)
    rulebook = open_rulebook(folders)
    case = open_case(path, rulebook)
    if case.weighed_with == rulebook.digest:
        print(f"{path}: is pinned to rule base {rulebook.digest[:12]} already", file=sys.stderr)
    text = read_text(path)
    refuse_old(read_document(path, text=text))
    changed = with_value(text, path, ("weighed_with",), rulebook.digest)
    if changed is None:
        said = "is written in a way in which a line cannot be added to it alone; give it"
        print(f"{path}: left as it is: it {said} weighed_with: {rulebook.digest}", file=sys.stderr)
        sys.exit(FAILURE)
    found = put(rulebook, archive or own_archive())
    if changed != text:
        save_over(path, changed, text)
    print(f"{path}: pinned to rule base {found.digest[:12]}, kept in {found.folder}", file=sys.stderr)


def pinned_rulebook(path: Path, folders: Sequence[Path] | None, name: str, archive: Path | None) -> Rulebook:
    """The rule base of a digest, or of the one that the case names: the present one where it is that, else a kept one.

    InvalidInput where the case names none, or where that base is not at hand.
    """
    from engine.case import read_case
    from engine.rulebook.archive import LEAST_DIGITS, own_archive, recalled
    from engine.version import VERSION

    wanted = name.lower() or _named(path, read_case(path))
    present = open_rulebook(folders)
    if len(wanted) >= LEAST_DIGITS and present.digest.startswith(wanted):
        return present
    one, rulebook = recalled(wanted, archive or own_archive())
    if one.kept_by != VERSION:
        said = f"kept by version {one.kept_by} of the program; its rules are replayed by version {VERSION}"
        print(f"rule base {one.digest[:12]}: {said}", file=sys.stderr)
    return rulebook


def _named(path: Path, case: Case) -> str:
    """The digest that a case names: the one it is pinned to, else the only one of its recorded opinions."""
    from engine.errors import InvalidInput, Problem

    if case.weighed_with is not None:
        return case.weighed_with
    recorded = {area.conclusion.opinion.rulebook for area in case.areas if area.conclusion and area.conclusion.opinion}
    if len(recorded) == 1:
        return recorded.pop()
    found = f"{len(recorded) or 'no'} rule bases named in the case"
    advice = "pin it: dampwright case pin CASE; or name one: weigh CASE --pinned-to DIGEST"
    raise InvalidInput([Problem(str(path), None, "weighed_with", found, "the digest of one rule base", advice)])
