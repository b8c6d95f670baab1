"""`case check`, `case schema` and `case make`."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from cli.exits import FAILURE
from cli.inputs import open_case, open_rulebook


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


def make(output: Path, folders: Sequence[Path] | None) -> None:
    """Write a commented starting file; an existing file is never overwritten."""
    from engine.case import starting_file

    text = starting_file(open_rulebook(folders), day=date.today())
    if str(output) == "-":
        sys.stdout.write(text)
        return
    try:
        with output.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        print(f"{output}: already exists and is left as it is; choose another name", file=sys.stderr)
        sys.exit(FAILURE)
    print(f"{output}: written; fill it in, then run: dampwright weigh {output}", file=sys.stderr)
