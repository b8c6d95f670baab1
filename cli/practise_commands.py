"""The command `dampwright practise`. It imports what it needs when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cli.exits import guarded
from cli.options import Json, Plain, RuleFolders


@guarded
def practise(
    case: Annotated[
        str | None,
        typer.Argument(
            help="A case file with a key, or the name of a worked case; without it, the next.", metavar="[CASE]"
        ),
    ] = None,
    area: Annotated[str | None, typer.Option("--area", help="The area of the case; else its first.")] = None,
    topic: Annotated[
        str | None, typer.Option("--topic", help="A case about this topic, as its cause or its trap.")
    ] = None,
    level: Annotated[int | None, typer.Option("--level", min=1, max=4, help="How hard, 1 to 4.")] = None,
    new: Annotated[
        int | None, typer.Option("--new", min=0, help="A new synthetic case made from this seed.", metavar="SEED")
    ] = None,
    key: Annotated[
        Path | None, typer.Option("--key", help="The key of a case whose key is kept apart; gives the review.")
    ] = None,
    another: Annotated[bool, typer.Option("--another", help="Begin another, though one is under way.")] = False,
    record: Annotated[bool, typer.Option("--record", help="Show your record: exercises, topics, calibration.")] = False,
    review: Annotated[int | None, typer.Option("--review", help="Show the review of this exercise again.")] = None,
    export: Annotated[Path | None, typer.Option("--export", help="Write your record to a file, .json or .csv.")] = None,
    delete: Annotated[bool, typer.Option("--delete", help="Delete your record for good.")] = False,
    yes: Annotated[bool, typer.Option("--yes", help="With --delete: do not ask.")] = False,
    data: Annotated[
        Path | None,
        typer.Option("--data", envvar="DAMPWRIGHT_DATA", help="The folder of your record; else your own data folder."),
    ] = None,
    no_input: Annotated[bool, typer.Option("--no-input", help="Ask nothing; fail and list what is missing.")] = False,
    as_json: Json = False,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """Practise on a case whose truth is known: ask for evidence, conclude, and be reviewed.

    Example: dampwright practise --topic salts
    """
    from cli.practising import keeping
    from cli.practising.opening import Wanted
    from cli.practising.session import run

    if record:
        keeping.show(data, rules, as_json=as_json, plain=plain)
    elif review is not None:
        keeping.show_again(review, data, rules, plain=plain)
    elif export is not None:
        keeping.export(export, data)
    elif delete:
        keeping.delete(data, sure=yes)
    else:
        run(Wanted(case, area, topic, level, new, key, another, data, no_input, plain, rules))
