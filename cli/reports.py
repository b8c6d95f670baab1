"""`report`: a case in, a document out."""

from __future__ import annotations

import importlib.util
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from cli.exits import FAILURE, USAGE
from cli.inputs import open_case, open_rulebook

if TYPE_CHECKING:
    from engine.case.models import Case
    from engine.duties import Sheet
    from engine.reporting import Audience, Report
    from engine.rulebook import Rulebook

FORMATS = (".html", ".docx", ".md")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was asked for on the command line."""

    case: Path
    output: Path
    audience: Audience
    areas: Sequence[str]
    template: Path | None
    replace: bool
    aware: date | None
    finished: date | None
    jurisdiction: str | None
    exact: bool
    rules: Sequence[Path] | None
    chainer: str


def run(wanted: Wanted) -> None:
    """Weigh a case and write the report on it; the file is whole or not there."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from engine.reporting import make_report
    from engine.reporting.material import material

    _check(wanted)
    rulebook = open_rulebook(wanted.rules)
    case = open_case(wanted.case, rulebook)
    found = material(
        case,
        rulebook,
        folder=wanted.case.parent,
        areas=wanted.areas,
        backend=wanted.chainer,
        exact=wanted.exact,
        duties=_duties(wanted, case, rulebook),
    )
    for held in found.photographs:
        for warning in held.told:
            print(warning, file=sys.stderr)
    report = make_report(found, wanted.audience)
    _save(wanted.output, _rendered(report, wanted), replace=wanted.replace)
    state = "a draft, not signed" if report.draft else "signed"
    print(f"{wanted.output}: written, {state}", file=sys.stderr)


def _check(wanted: Wanted) -> None:
    """Stop before anything is weighed where the command itself cannot be carried out."""
    kind = wanted.output.suffix.lower()
    if kind not in FORMATS:
        _stop(f"{wanted.output}: name a file that ends in .html, .docx or .md", USAGE)
    if wanted.template is not None and kind != ".docx":
        _stop(f"--template is for Word; give {wanted.output} a name that ends in .docx, or leave --template out", USAGE)
    if kind == ".docx" and importlib.util.find_spec("docx") is None:
        _stop(
            "Word needs python-docx, the extra `word`: pip install 'dampwright[word]'; or choose .html or .md", FAILURE
        )
    if wanted.output.exists() and not wanted.replace:
        _stop(f"{wanted.output}: already exists and is left as it is; choose another name, or add --replace", FAILURE)


def _stop(message: str, code: int) -> NoReturn:
    print(message, file=sys.stderr)
    sys.exit(code)


def _duties(wanted: Wanted, case: Case, rulebook: Rulebook) -> tuple[Sheet, ...]:
    """The sheets of dates that were asked for; staleness is told by the last day in the case, not by a clock."""
    if not (wanted.aware or wanted.finished or wanted.jurisdiction):
        return ()
    from engine.duties import jurisdictions, sheets
    from engine.explaining.subject import known_name
    from engine.reporting.material import last_day_of

    aware = wanted.aware or (case.commission.reported_on if case.commission else None)
    finished = wanted.finished or (case.commission.investigation_finished_on if case.commission else None)
    if aware is None:
        _stop("dates of duties need --aware, the day the landlord became aware, or the case's reported_on", USAGE)
    if wanted.jurisdiction is not None:
        known = {name: name for name in jurisdictions(rulebook.duties)}
        known_name(wanted.jurisdiction, known, "jurisdiction", "--jurisdiction")
    try:
        return sheets(
            rulebook,
            jurisdiction=wanted.jurisdiction,
            aware_on=aware,
            finished_on=finished,
            today=last_day_of(case),
        )
    except ValueError as fault:
        _stop(str(fault), USAGE)


def _rendered(report: Report, wanted: Wanted) -> bytes:
    kind = wanted.output.suffix.lower()
    if kind == ".html":
        from cli.report.html import as_html

        return as_html(report).encode("utf-8")
    if kind == ".md":
        from cli.report.markdown import as_markdown

        return as_markdown(report).encode("utf-8")
    from cli.report.word import as_word

    return as_word(report, wanted.template)


def _save(path: Path, content: bytes, *, replace: bool) -> None:
    from engine.case.saving import save_new

    if not replace:
        save_new(path, content)
        return
    part = path.with_name(f".{path.name[:40]}.{os.getpid()}.part")
    save_new(part, content)
    try:
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
