"""`rules`: is the rule base sound, what is in it, how it hangs together, and what a change of it moves."""

from __future__ import annotations

import dataclasses
import json
import sys
from collections.abc import Sequence
from pathlib import Path

from cli.exits import FAILURE, INVALID, USAGE
from cli.inputs import open_rulebook


def check(folders: Sequence[Path] | None, *, casebook: bool = False) -> None:
    """Print faults and remarks with file and line, and rules without a case; exits with 3 when there are faults."""
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
    if casebook:
        unfired(folders)
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


def diff(old: Path, new: Path, cases: Sequence[Path] | None, *, as_json: bool, plain: bool) -> None:
    """Print which records differ and which results move; exits with 1 when a result moves."""
    from engine.opinion.casebook import case_files
    from engine.opinion.comparing import compare_results
    from engine.opinion.reasoner import Reasoner
    from engine.rulebook import load_rulebook
    from engine.rulebook.comparing_bases import compare_bases

    before, after = load_rulebook(folder=old), load_rulebook(folder=new)
    changes = compare_bases(before, after)
    files = case_files(tuple(cases or ()))
    moved = compare_results(Reasoner(before), Reasoner(after), files) if changes else ()
    if as_json:
        data = {"records": [dataclasses.asdict(c) for c in changes], "moved": [dataclasses.asdict(m) for m in moved]}
        print(json.dumps(data, ensure_ascii=False, indent=2))
    else:
        from cli.views.console import results
        from cli.views.records import show_changes

        show_changes(changes, moved, len(files), results(plain=plain))
    if moved:
        sys.exit(FAILURE)


def unfired(folders: Sequence[Path] | None) -> None:
    """Print the rules that no case of the casebook fires, with their share."""
    from engine.case import read_case
    from engine.opinion.casebook import case_files, fired_rules
    from engine.opinion.reasoner import Reasoner
    from engine.rulebook.compiling import active_rules

    rulebook = open_rulebook(folders)
    files = case_files()
    fired = fired_rules(Reasoner(rulebook), ((read_case(path, vocabulary=rulebook), path.parent) for path in files))
    rules = active_rules(rulebook)
    silent = [rule for rule in rules if rule.id not in fired]
    for rule in silent:
        print(f"{rulebook.origin[rule.id]}: {rule.id}: no case of the casebook fires it")
    share = 100 * len(silent) / len(rules) if rules else 0.0
    print(
        f"rules that no case of the casebook fires: {len(silent)} of {len(rules)} ({share:.0f} %), {len(files)} cases"
    )
