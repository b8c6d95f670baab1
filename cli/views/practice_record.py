"""A trainee's record in the terminal: exercises, progress by topic, how sure beside how right."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cli.views.page import Page
from cli.views.phrases import list_words
from engine.practising.progress import Calibration, Progress
from engine.practising.record import Begun

VERDICTS = {
    "right": "right",
    "missed-some": "right as far as it went",
    "added-some": "the cause among others",
    "partly": "partly right",
    "wrong": "not right",
}


def show_record(
    exercises: Sequence[Begun], found: Progress, title: Callable[[str], str], where: str, page: Page
) -> None:
    """The record as a whole."""
    if not exercises:
        page.line("Nothing is practised yet. dampwright practise begins.")
        return
    page.line(f"{found.begun} begun, {found.concluded} concluded, {found.reviewed} reviewed.")
    page.section("Exercises", [_exercise(one, title) for one in exercises])
    page.section(
        "By topic",
        [
            f"{title(one.topic)}: {one.right} of {one.exercises} right, Brier score {one.brier:.2f}"
            for one in found.topics
        ],
    )
    if found.calibration is not None:
        _show_calibration(found.calibration, page)
    page.line()
    page.line(f"Kept in {where}; dampwright practise --export writes it out, --delete removes it.")


def _exercise(one: Begun, title: Callable[[str], str]) -> str:
    name = f"{one.number}, {one.begun[:10]}, {one.title}"
    if one.review is not None:
        truth = list_words([title(cause) for cause in one.review["truth"]]) or "nothing wets it"
        return f"{name}: {VERDICTS[one.review['verdict']]} ({truth}), Brier score {one.review['brier']:.2f}"
    return f"{name}: {'concluded, not reviewed' if one.concluded else 'under way'}"


def _show_calibration(found: Calibration, page: Page) -> None:
    page.heading("How sure, and how right")
    page.line(
        f"You named {found.forecasts - found.missed} causes, {_percent(found.mean_stated)} sure on average, and "
        f"{_percent(found.share_true)} of them were so. True causes that were not named: {found.missed}; below they "
        "count as given 0 %."
    )
    for row in found.table:
        page.bullet(
            f"said {_percent(row.low)} to {_percent(row.high)}: {row.count} times, {_percent(row.mean_forecast)} on "
            f"average, so in {_percent(row.share_true)}"
        )
    parts = found.parts
    page.line(
        f"Brier score {parts.brier:.3f} = reliability {parts.reliability:.3f} − resolution {parts.resolution:.3f} + "
        f"uncertainty {parts.uncertainty:.3f}. Reliability is best at 0, resolution as large as it can be."
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
