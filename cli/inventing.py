"""`case invent`: a made-up case of a seed, written with its key."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from cli.exits import FAILURE, USAGE, guarded
from cli.options import RuleFolders


@guarded
def invent(
    seed: Annotated[int, typer.Option("--seed", min=0, help="The number that the case is made from.")],
    output: Annotated[Path, typer.Option("-o", "--output", help="The new case file (.yaml or .json), or - to print.")],
    level: Annotated[
        int | None, typer.Option("--level", min=1, max=4, help="How hard the truth is to tell, 1 easy to 4 hard.")
    ] = None,
    topic: Annotated[str | None, typer.Option("--topic", help="One of the causes is of this topic.")] = None,
    causes: Annotated[
        list[str] | None, typer.Option("--cause", help="A cause at work; may be given again. Then no other is.")
    ] = None,
    loggers: Annotated[
        bool, typer.Option("--loggers", help="Log air and surface too; the files go into a folder beside the case.")
    ] = False,
    rules: RuleFolders = None,
) -> None:
    """Write a synthetic case with its key: a dwelling, causes, and evidence that hangs together. No real house.

    The same seed, wishes and rule base give the same file. To hide the key from trainees, run case seal on it.

    Example: dampwright case invent --seed 7 --topic salts -o case.yaml
    """
    from cli.inputs import open_rulebook
    from engine.case.writing import case_text
    from engine.sharing.saving import folder_name, save_together
    from engine.synthesis import make_case_and_logs

    if loggers and str(output) == "-":
        print("--loggers writes files beside the case: give it a file name with -o", file=sys.stderr)
        sys.exit(USAGE)
    folder = folder_name(output) if loggers else None
    try:
        case, files = make_case_and_logs(
            seed, open_rulebook(rules), folder, level=level, topic=topic, causes=causes or None
        )
    except ValueError as fault:
        print(fault, file=sys.stderr)
        sys.exit(USAGE)
    text = case_text(case, output)
    if str(output) == "-":
        sys.stdout.write(text)
        return
    try:
        save_together(output, text, files)
    except FileExistsError as fault:
        print(f"{fault.filename}: {fault.strerror}", file=sys.stderr)
        sys.exit(FAILURE)
    print(f"{output}: a synthetic case, made by the program; no real house. Its key is in it.", file=sys.stderr)
