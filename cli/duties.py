"""`duties`: the days by which possible legal duties would fall due."""

from __future__ import annotations

import dataclasses
import json
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from cli.exits import INVALID, USAGE
from cli.inputs import open_rulebook


def run(
    jurisdiction: str | None,
    aware_on: date,
    finished_on: date | None,
    *,
    as_json: bool,
    plain: bool,
    rules: Sequence[Path] | None,
) -> None:
    """Print a sheet for every pack; exits with 3 where there is no pack for the jurisdiction."""
    from engine.duties import jurisdictions, sheets
    from engine.errors import nearest

    rulebook = open_rulebook(rules)
    try:
        found = sheets(
            rulebook, jurisdiction=jurisdiction, aware_on=aware_on, finished_on=finished_on, today=date.today()
        )
    except ValueError as fault:
        print(fault, file=sys.stderr)
        sys.exit(USAGE)
    if not found:
        known = jurisdictions(rulebook.duties)
        close = nearest(jurisdiction or "", known)
        hint = f"; did you mean {close!r}?" if close else ""
        print(
            f"no pack of time limits for {jurisdiction!r}, which does not mean that there is no duty: take advice "
            f"(packs: {', '.join(known) or 'none'}){hint}",
            file=sys.stderr,
        )
        sys.exit(INVALID)
    if as_json:
        print(json.dumps([dataclasses.asdict(sheet) for sheet in found], ensure_ascii=False, indent=2, default=str))
        return
    from cli.views.console import results
    from cli.views.duties import show_sheets

    show_sheets(found, results(plain=plain))
