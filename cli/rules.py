"""`rules`: is the rule base sound, what is in it, how it hangs together, and what a change of it moves."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path

from cli.exits import INVALID, USAGE
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


def draw(
    output: Path,
    folders: Sequence[Path] | None,
    *,
    topic: str | None,
    cause: str | None,
    steps: bool,
    least: float | None,
) -> None:
    """Write a map as SVG or Mermaid text, by the name of the file; an earlier map of that name is replaced."""
    from engine.rulebook.drawing import chart, mermaid, svg

    write = {".svg": svg, ".mmd": mermaid}.get(output.suffix.lower())
    if write is None:
        print(f"{output}: name a file that ends in .svg or .mmd", file=sys.stderr)
        sys.exit(USAGE)
    drawn = chart(open_rulebook(folders), topic=topic, cause=cause, steps=steps, least=least)
    output.write_text(write(drawn), encoding="utf-8", newline="\n")
    print(f"{output}: written; {len(drawn.spots)} records, {len(drawn.links)} links", file=sys.stderr)
