"""The command `dampwright report`. It imports what it needs when it runs."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated, Literal

import typer

from cli.exits import guarded
from cli.options import RuleFolders


@guarded
def report(
    case: Annotated[
        Path, typer.Argument(help="A case file (.yaml, .json) or a filled-in workbook (.xlsx).", metavar="CASE")
    ],
    output: Annotated[Path, typer.Option("-o", "--output", help="The file to write: .html, .docx or .md.")],
    audience: Annotated[
        Literal["technical", "householder", "both"],
        typer.Option("--for", help="For whom: a full technical report, the householder's page, or both."),
    ] = "both",
    area: Annotated[list[str] | None, typer.Option("--area", help="Only this area; may repeat.")] = None,
    template: Annotated[
        Path | None, typer.Option("--template", help="A firm's own Word document, whose styles are used.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace a file of that name.")] = False,
    aware: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="The day the landlord became aware, else the case's reported_on."),
    ] = None,
    finished: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="When the investigation finished, else as the case says."),
    ] = None,
    jurisdiction: Annotated[
        str | None, typer.Option(help="Add dates of possible duties in england, scotland or wales.")
    ] = None,
    exact: Annotated[bool, typer.Option("--exact", help="Enumerate every set of causes.")] = False,
    rules: RuleFolders = None,
    chainer: Annotated[
        Literal["auto", "durable", "python"],
        typer.Option("--chainer", help="What chains the rules; the answers agree."),
    ] = "auto",
) -> None:
    """Write a report on a case: what was found and how sure, what to do, and all that it rests on.

    Example: dampwright report visit.yaml -o visit.html
    """
    from cli.reports import Wanted, run

    run(
        Wanted(
            case=case,
            output=output,
            audience=audience,
            areas=area or (),
            template=template,
            replace=replace,
            aware=aware.date() if aware else None,
            finished=finished.date() if finished else None,
            jurisdiction=jurisdiction,
            exact=exact,
            rules=rules,
            chainer=chainer,
        )
    )
