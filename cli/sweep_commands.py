"""`dampwright sweep`, as it stands on the command line."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated, Literal

import typer

from cli.exits import guarded
from cli.options import Json, Plain, RuleFolders


@guarded
def sweep(
    paths: Annotated[
        list[Path],
        typer.Argument(
            help="Case files, workbooks, folders of them, or a stream of one JSON case a line (.jsonl, -).",
            metavar="PATH...",
        ),
    ],
    output: Annotated[Path, typer.Option("-o", "--output", help="The file to write: .csv, .xlsx or .jsonl.")],
    workers: Annotated[
        int | None, typer.Option(min=1, max=61, help="Processes; without it, one for each core.")
    ] = None,
    resume: Annotated[bool, typer.Option("--resume", help="Go on: cases that are done and unchanged count.")] = False,
    pack: Annotated[
        str | None, typer.Option("--duties", help="Hold days since the report against this dated pack of time limits.")
    ] = None,
    today: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="The day that counts as today; without it, today.")
    ] = None,
    as_json: Json = False,
    plain: Plain = False,
    rules: RuleFolders = None,
    chainer: Annotated[
        Literal["auto", "durable", "python"],
        typer.Option("--chainer", help="What chains the rules; the answers agree."),
    ] = "auto",
) -> None:
    """Weigh many cases into one table: one row an area, in the order given; a case with faults is a row that says so.

    What is done is kept beside the output, so that --resume goes on after any end. Ends with 5 when a case had faults.

    Example: dampwright sweep caseload/ -o caseload.csv
    """
    from cli.sweeping import Wanted, run

    run(
        Wanted(
            paths=tuple(paths),
            output=output,
            workers=workers,
            resume=resume,
            pack=pack,
            today=today.date() if today else None,
            as_json=as_json,
            plain=plain,
            rules=tuple(rules or ()),
            chainer=chainer,
        )
    )
