"""`rules`: is the rule base sound, what is in it, how it hangs together, and what a change of it moves."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path

from cli.exits import INVALID
from cli.inputs import open_rulebook


def check(folders: Sequence[Path] | None) -> None:
    """Print faults and remarks with file and line; exits with 3 when there are faults."""
    from engine.inference.chaining import available_backend
    from engine.rulebook.checking import check_rulebook

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


def show(name: str, folders: Sequence[Path] | None, *, as_json: bool, plain: bool) -> None:
    """Print everything about one record; InvalidInput, with the nearest names, when there is none of this id."""
    from engine.rulebook.showing import show as page_of

    record = page_of(open_rulebook(folders), name)
    if as_json:
        print(json.dumps(record.data, ensure_ascii=False, indent=2))
        return
    from cli.views.console import results
    from cli.views.records import show_record

    show_record(record, results(plain=plain))


def list_records(
    kind: str | None, topic: str | None, folders: Sequence[Path] | None, *, as_json: bool, plain: bool
) -> None:
    """Print ids and titles; InvalidInput for a kind or topic that is not there."""
    from engine.rulebook.showing import listing

    rows = listing(open_rulebook(folders), kind, topic)
    if as_json:
        print(json.dumps([{"kind": k, "id": i, "title": t} for k, i, t in rows], ensure_ascii=False, indent=2))
        return
    from cli.views.console import results
    from cli.views.records import show_list

    show_list(rows, results(plain=plain))
