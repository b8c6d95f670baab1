"""`sweep`: many cases into one table, with progress on standard error and a summary on standard output."""

from __future__ import annotations

import json
import os
import sys
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cli.exits import FAILURE, PARTLY, USAGE
from cli.inputs import open_rulebook

if TYPE_CHECKING:
    from cli.views.sweep import Progress
    from engine.rulebook import Rulebook
    from engine.sweeping.dates import Days
    from engine.sweeping.summary import Summary


@dataclass(frozen=True)
class Wanted:
    """What the command line asks for."""

    paths: tuple[Path, ...]
    output: Path
    workers: int | None
    resume: bool
    pack: str | None
    today: date | None
    as_json: bool
    plain: bool
    rules: tuple[Path, ...]
    chainer: str


def run(wanted: Wanted) -> None:
    """Sweep; exits with 5 when a case had faults, with 1 or 2 when the output cannot be written or has another name."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from cli.views.console import results
    from cli.views.sweep import Progress, show_summary
    from engine.case.locking import Busy, Lock
    from engine.sweeping.dates import Days, chosen_pack
    from engine.sweeping.items import check_paths, count_items

    _check_output(wanted)
    check_paths(wanted.paths)
    rulebook = open_rulebook(wanted.rules)
    pack = chosen_pack(rulebook, wanted.pack) if wanted.pack else None
    days = Days(rulebook, pack, wanted.today or date.today())
    try:
        lock = Lock(wanted.output.resolve(), "sweep", datetime.now())
    except Busy:
        print(f"{wanted.output}: another sweep is writing to it; nothing was done", file=sys.stderr)
        sys.exit(FAILURE)
    try:
        with lock, Progress(count_items(wanted.paths, _own_files(wanted)), plain=wanted.plain) as progress:
            summary = _swept(wanted, rulebook, days, progress)
    except (KeyboardInterrupt, OSError):
        print("What is done is kept: the same command with --resume goes on.", file=sys.stderr)
        raise
    if wanted.as_json:
        found = {**summary.data(), "output": str(wanted.output), "today": days.today.isoformat()}
        found |= {"duties": wanted.pack, "duties_warnings": days.warnings, "rulebook": rulebook.digest}
        print(json.dumps(found, ensure_ascii=False, indent=2))
    else:
        show_summary(summary.data(), days, wanted.output, results(plain=wanted.plain))
    if summary.faults:
        sys.exit(PARTLY)


def _check_output(wanted: Wanted) -> None:
    from engine.sweeping.done import done_path
    from engine.sweeping.tables import WRITERS

    output, done = wanted.output, done_path(wanted.output)
    if output.suffix.lower() not in WRITERS:
        print(f"{output}: the name of the output ends in {', '.join(WRITERS)}", file=sys.stderr)
        sys.exit(USAGE)
    there = [str(path) for path in (output, done) if path.exists()]
    if there and not wanted.resume:
        advice = "go on with --resume, or choose another name"
        print(f"{' and '.join(there)}: already there and left as it is; {advice}", file=sys.stderr)
        sys.exit(FAILURE)
    if output.exists() and not done.exists():
        advice = "it is left as it is; choose another name"
        print(
            f"{output}: there is no {done.name} beside it, so it is no sweep to go on with; {advice}", file=sys.stderr
        )
        sys.exit(FAILURE)


def _own_files(wanted: Wanted) -> frozenset[Path]:
    return frozenset({wanted.output.resolve()})


def _swept(wanted: Wanted, rulebook: Rulebook, days: Days, progress: Progress) -> Summary:
    """Every result into the output and the list of what is done; whatever ends it, what is written stays."""
    from engine.sweeping.done import Done
    from engine.sweeping.items import items
    from engine.sweeping.pool import Settings, in_order, usable_cores
    from engine.sweeping.summary import Summary
    from engine.sweeping.tables import WRITERS

    summary = Summary()
    settings = Settings(tuple(str(folder) for folder in wanted.rules), wanted.chainer)
    found = items(wanted.paths, sys.stdin.buffer if Path("-") in wanted.paths else None, _own_files(wanted))
    with ExitStack() as stack:
        done = stack.enter_context(Done(wanted.output, rulebook.digest, resume=wanted.resume))
        if done.stale:
            progress.say(f"{done.stale} results of another rule base or version are not used again")
        writer = WRITERS[wanted.output.suffix.lower()](wanted.output)
        stack.callback(writer.close)
        stream = in_order(found, settings, wanted.workers or usable_cores(), done.result_for)
        stack.callback(stream.close)
        for item, text, known in stream:
            result = _dated(json.loads(text), item.name, item.number, days)
            if not known:
                done.add(result, text)
            writer.write(result)
            summary.add(result, known=known)
            progress.advance(fault=result["state"] != "weighed")
    return summary


def _dated(result: dict[str, Any], name: str, number: int | None, days: Days) -> dict[str, Any]:
    from engine.sweeping.working import WEIGHED

    dates = {"dates": days.of(result)} if result["state"] == WEIGHED else {}
    return {"file": name, "line": number, **result, **dates}
