"""`rules check`: is the rule base sound, and what could be better."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from cli.exits import INVALID
from cli.inputs import open_rulebook


def check(folders: Sequence[Path] | None) -> None:
    """Print faults and remarks with file and line; exits with 3 when there are faults."""
    from engine.rulebook.checking import check_rulebook

    from engine.inference.chaining import available_backend

    report = check_rulebook(open_rulebook(folders))
    for problem in (*report.faults, *report.remarks):
        print(problem.sentence())
    for kind, count in report.counts.items():
        print(f"{kind}: {count}")
    print(f"rules are chained by: {available_backend()}")
    if report.faults:
        print(f"{len(report.faults)} faults", file=sys.stderr)
        sys.exit(INVALID)
    print("the rule base is sound")
