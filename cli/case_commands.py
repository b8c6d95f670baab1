"""The commands under `dampwright case` that deal with files: photographs, redacting, sealing, pinning, migrating."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cli.exits import guarded
from cli.options import Json, Plain, RuleFolders, RulesArchive

case_app = typer.Typer(help="Make, check and describe case files.", no_args_is_help=True, rich_markup_mode=None)

CaseFile = Annotated[
    Path, typer.Argument(help="A case file (.yaml, .json) or a filled-in workbook (.xlsx).", metavar="CASE")
]
NewCase = Annotated[Path, typer.Option("-o", "--output", help="The new case file (.yaml or .json).")]


@case_app.command("photographs")
@guarded
def case_photographs(
    case: CaseFile,
    record: Annotated[
        bool, typer.Option("--record", help="Write the digest of each photograph that has none into the case.")
    ] = False,
    as_json: Json = False,
    rules: RuleFolders = None,
) -> None:
    """List the photographs of a case: there, changed, missing, or not yet recorded. Ends with 5 when one is amiss.

    Example: dampwright case photographs visit.yaml --record
    """
    from cli.photographs import run

    run(case, rules, record=record, as_json=as_json)


@case_app.command("redact")
@guarded
def case_redact(
    case: CaseFile,
    output: NewCase,
    photographs: Annotated[
        bool, typer.Option("--photographs", help="Take photographs along, as copies without metadata.")
    ] = False,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """Write a copy without names, address, contacts, health and what is marked private; list the text left to read.

    Example: dampwright case redact visit.yaml -o to-send.yaml
    """
    from cli.sharing import redacted

    redacted(case, output, rules, photographs=photographs, plain=plain)


@case_app.command("seal")
@guarded
def case_seal(
    case: CaseFile,
    output: NewCase,
    key: Annotated[Path, typer.Option("--key", help="The new file for the answers; keep it from trainees.")],
    rules: RuleFolders = None,
) -> None:
    """Write a worked case for trainees without its answers, and the answers into a file of their own.

    Example: dampwright case seal worked.yaml -o exercise.yaml --key exercise-key.json
    """
    from cli.sharing import sealed

    sealed(case, output, key, rules)


@case_app.command("unseal")
@guarded
def case_unseal(
    case: CaseFile,
    output: NewCase,
    key: Annotated[Path, typer.Option("--key", help="The file of answers that was made with the case.")],
    rules: RuleFolders = None,
) -> None:
    """Join a sealed case with its answers again.

    Example: dampwright case unseal exercise.yaml --key exercise-key.json -o worked.yaml
    """
    from cli.sharing import unsealed

    unsealed(case, output, key, rules)


@case_app.command("pin")
@guarded
def case_pin(case: CaseFile, rules: RuleFolders = None, archive: RulesArchive = None) -> None:
    """Write the digest of the rule base into a case and keep that rule base, for `weigh --pinned` at any later day.

    Example: dampwright case pin visit.yaml
    """
    from cli.pinning import pin

    pin(case, rules, archive)


@case_app.command("migrate")
@guarded
def case_migrate(
    case: Annotated[Path, typer.Argument(help="A case file (.yaml, .json) of an older format.", metavar="CASE")],
    rules: RuleFolders = None,
) -> None:
    """Bring a case file of an older format up to date; the file as it was is kept beside it.

    Example: dampwright case migrate old-visit.yaml
    """
    from cli.migrating import run

    run(case, rules)
