"""Options that several groups of commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

RuleFolders = Annotated[
    list[Path] | None,
    typer.Option("--rules", help="A folder of your own records that adds to or overrides the rule base; may repeat."),
]
RulesArchive = Annotated[
    Path | None,
    typer.Option("--rules-archive", help="The folder in which rule bases are kept; without it, your own data folder."),
]
Plain = Annotated[bool, typer.Option("--plain", help="No colour, one column, nothing redrawn.")]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]
