"""A sweep as it goes on, on standard error, and what it came to."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from time import monotonic
from types import TracebackType
from typing import TYPE_CHECKING, Any

from rich.console import Console

from cli.views.page import Page

if TYPE_CHECKING:
    from rich import progress

    from engine.sweeping.dates import Days

SHOWN = 10
"""Repeats that the summary names; the output as JSON names more."""


class Progress:
    """Cases done, rate and remaining time: a bar on a terminal; otherwise, or if plain, one line at the end."""

    def __init__(self, total: int | None, *, plain: bool) -> None:
        self._total, self._done, self._faults, self._start = total, 0, 0, monotonic()
        self._bar: progress.Progress | None = None
        if sys.stderr.isatty() and not plain:
            self._bar = _bar()
            self._task = self._bar.add_task("", total=total, faults="")

    def __enter__(self) -> Progress:
        if self._bar is not None:
            self._bar.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        if self._bar is not None:
            self._bar.stop()
        spent = max(monotonic() - self._start, 1e-9)
        of = f" of {self._total}" if self._total is not None and self._total != self._done else ""
        faults = f", {self._faults} with faults" if self._faults else ""
        rate = f"{self._done / spent:.1f} a second"
        print(f"{self._done}{of} cases{faults}, in {spent:.1f} s ({rate})", file=sys.stderr)

    def advance(self, *, fault: bool) -> None:
        """Count one case."""
        self._done += 1
        self._faults += fault
        if self._bar is not None:
            self._bar.update(self._task, advance=1, faults=f"{self._faults} with faults" if self._faults else "")

    def say(self, message: str) -> None:
        """Print a message above the bar."""
        if self._bar is not None:
            self._bar.console.print(message)
        else:
            print(message, file=sys.stderr)


def _bar() -> progress.Progress:
    from rich import progress

    class Rate(progress.ProgressColumn):
        """Cases a second."""

        def render(self, task: progress.Task) -> str:
            return f"{task.speed:.1f} a second" if task.speed else ""

    return progress.Progress(
        progress.MofNCompleteColumn(),
        progress.BarColumn(),
        Rate(),
        progress.TimeRemainingColumn(),
        progress.TextColumn("{task.fields[faults]}", markup=False),
        console=Console(stderr=True, markup=False, emoji=False, highlight=False),
    )


def show_summary(found: Mapping[str, Any], days: Days, output: Path, console: Console) -> None:
    """Print what a sweep came to."""
    page = Page(console)
    page.line(f"{found['weighed']} cases weighed into {output}, with {found['areas']} areas")
    if found["known_before"]:
        page.line(f"{found['known_before']} of them were done before and had not changed")
    if found["faults"]:
        page.line(f"{found['faults']} cases were not weighed; their rows say what is wrong")
    page.line(f"determined {found['determined']}, not determined {found['not_determined']}")
    page.section("Leading causes, by areas", [f"{one['title']}: {one['areas']}" for one in found["leading"]])
    page.section("Timber, by areas", [f"{one['state']}: {one['areas']}" for one in found["timber"]])
    page.section("Cautions, by areas", [f"{one['title']}: {one['areas']}" for one in found["cautions"]])
    repeats = [f"{one['dwelling']}: {one['cases']} cases" for one in found["repeats"][:SHOWN]]
    more = len(found["repeats"]) - len(repeats) + found["repeats_unnamed"]
    page.section("More than one case at one address", [*repeats, *([f"and {more} more"] if more else [])])
    _show_days(found, days, page)


def _show_days(found: Mapping[str, Any], days: Days, page: Page) -> None:
    if days.pack is None:
        return
    page.heading(f"Possible duty, take advice: {days.pack.title}")
    page.bullet(f"reckoned on {days.today}; {found['without_day_of_report']} cases give no day of report")
    page.bullet(
        f"{found['cases_past_a_last_day']} cases are past a last day; whether all was done by then is not known"
    )
    for one in found["past_the_last_day_of"]:
        page.bullet(f"past the last day of {one['limit']}: {one['cases']}", 4)
    for warning, count in days.warnings.items():
        page.bullet(f"{warning} ({count} cases)")
