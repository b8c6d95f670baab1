"""`practise`: an exercise from its brief to its review; every way in which it can end has its exit code."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from cli.exits import DONE, FAILURE, INTERRUPTED, PARTLY, USAGE
from cli.inputs import open_rulebook
from cli.practising.keeping import open_record
from cli.practising.opening import Wanted, opened, stop

if TYPE_CHECKING:
    from cli.views.page import Page
    from engine.practising.record import Record
    from engine.practising.session import Practice
    from engine.rulebook import Rulebook


def run(wanted: Wanted) -> None:
    """Hold the session."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from cli.interview.lines import Lines
    from cli.practising.loop import Rehearsal
    from cli.views.console import results
    from cli.views.page import Page
    from engine.practising.record import GoneOn

    rulebook = open_rulebook(wanted.rules)
    page = Page(results(plain=wanted.plain or not sys.stdout.isatty()))
    lines = Lines(allowed=not wanted.no_input)
    with open_record(wanted.data) as record:
        practice = opened(wanted, record, rulebook)
        rehearsal = Rehearsal(practice, lines, page, wanted.resume)
        code = DONE
        try:
            if not practice.concluded:
                code = rehearsal.run()
        except KeyboardInterrupt:
            print()
            rehearsal.say_where_to_go_on()
            sys.exit(INTERRUPTED)
        except GoneOn:
            said = "another session has gone on with this exercise; nothing of it was lost"
            stop(f"{said}. Close one of them, then: {wanted.resume}", FAILURE)
        if code == PARTLY and lines.read == 0:
            _say_what_is_missing(practice)
        if practice.concluded:
            show_or_wait(practice, record, rulebook, page)
    if code:
        sys.exit(code)


def _say_what_is_missing(practice: Practice) -> None:
    from engine.practising.session import PARTS

    left = [part for part in PARTS if part not in {entry.kind for entry in practice.entries}]
    print("No lines came, from a terminal or piped in. Missing:", file=sys.stderr)
    if not practice.concluding:
        print("  what to ask for, a line for each thing; then conclude", file=sys.stderr)
    for part in left:
        print(f"  {part} of the conclusion, a line", file=sys.stderr)
    sys.exit(USAGE)


def show_or_wait(practice: Practice, record: Record, rulebook: Rulebook, page: Page) -> None:
    """Review a concluded exercise and keep the review; where the key is kept apart, say how to get one."""
    if practice.exercise.key is None:
        page.line()
        page.line(
            f"Concluded and saved as exercise {practice.begun.number}. The key of this case is kept apart; with it: "
            f"dampwright practise {practice.exercise.source.name} --key KEY gives the review."
        )
        return
    from cli.views.practice_review import show_review
    from engine.opinion.reasoner import Reasoner
    from engine.opinion.serialising import to_data
    from engine.practising.exercise import topics
    from engine.practising.progress import progress
    from engine.practising.reviewing import review

    made = review(Reasoner(rulebook, "python"), practice.exercise, tuple(practice.entries), progress(record))
    data = to_data(made)
    forecasts = {item.cause: (item.stated, item.came_true, item.named) for item in made.stated}
    record.keep_review(practice.begun.number, data, forecasts, topics(practice.exercise.key, rulebook))
    page.line()
    show_review(data, titles(rulebook), page)
    page.line()
    page.line(f"Kept as exercise {practice.begun.number}. dampwright practise --record shows your progress.")


def titles(rulebook: Rulebook) -> Callable[[str], str]:
    """What gives the title of a record, or of nothing at work; a name that is no more stays as it is."""
    from engine.challenging.auditing import NOTHING

    def title(name: str) -> str:
        if name == NOTHING:
            return "nothing wets it now"
        return rulebook.title(name) if name in rulebook.records else name.replace("-", " ")

    return title
