"""Logged series over time, quantity above quantity."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from matplotlib.figure import Figure as Drawing

from cli.report.drawing.chart import LINE, beside, notes_of, put_notes, quiet, rule
from cli.report.drawing.layout import steps, wrapped
from cli.report.drawing.style import WIDTH_IN, shade
from engine.days import day_words
from engine.reporting.figures.models import ClimateStrip, LoggedCourse, Quantity
from engine.reporting.figures.wording import fixed

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LEFT, RIGHT, ABOVE, TALL, BETWEEN, BELOW = 0.6, 1.85, 0.2, 1.5, 0.2, 0.42
PANELS: tuple[tuple[str, tuple[Quantity, ...]], ...] = (
    ("°C", ("temperature", "dew-point")),
    ("relative humidity [%]", ("humidity",)),
    ("moisture [%]", ("moisture",)),
    ("rain [mm a day]", ("rain",)),
)
LOOKS = ((1.0, "solid"), (0.5, (0, (5, 1.5))), (0.75, (0, (1, 1))), (0.35, (0, (6, 1.5, 1, 1.5))), (0.9, (0, (3, 3))))
"""Level of the palette and dashes of the first, second … course of a panel."""
TICKS = 6


def draw_logged(found: ClimateStrip) -> Drawing:
    """The strip: a line runs along the mean, a band from the least to the greatest value."""
    panels = [
        (words, courses)
        for words, quantities in PANELS
        if (courses := [c for c in found.courses if c.quantity in quantities])
    ]
    start = date.fromisoformat(found.start or "")
    notes = notes_of(
        f"Logged from {day_words(start, weekday=False)} over {fixed(found.days, 0)} days. Lines are means, bands run "
        "from the least to the greatest value of each stretch; nothing is drawn over gaps."
    )
    talls = [TALL + 0.24 * max(0, len(courses) - 2) for _, courses in panels]
    foot = LINE * len(notes) + 0.1
    height = ABOVE + sum(talls) + BETWEEN * (len(panels) - 1) + BELOW + foot
    drawing = Drawing(figsize=(WIDTH_IN, height))
    top = height - ABOVE
    ticks = _days(found.days)
    for number, ((words, courses), tall) in enumerate(zip(panels, talls, strict=True)):
        axes = drawing.add_axes(
            (LEFT / WIDTH_IN, (top - tall) / height, (WIDTH_IN - LEFT - RIGHT) / WIDTH_IN, tall / height)
        )
        top -= tall + BETWEEN
        quiet(axes)
        axes.set_xlim(0, max(found.days, 1.0))
        axes.set_xticks(ticks)
        last = number == len(panels) - 1
        axes.set_xticklabels([_day(start, day) if last else "" for day in ticks])
        axes.set_ylabel(words, labelpad=3)
        rule(axes, ticks)
        _panel(axes, courses)
    put_notes(drawing, notes)
    return drawing


def _panel(axes: Axes, courses: Sequence[LoggedCourse]) -> None:
    low = min(span.least for course in courses for span in course.spans)
    high = max(span.greatest for course in courses for span in course.spans)
    if courses[0].quantity == "rain":
        low = 0.0
    edge = 0.05 * (high - low or 1.0)
    axes.set_ylim(low - (edge if courses[0].quantity != "rain" else 0.0), high + edge)
    ticks = steps(low, high, 5)
    axes.set_yticks(ticks)
    axes.set_yticklabels([fixed(tick) for tick in ticks])
    rule(axes, ticks, across=True)
    labels = []
    for number, course in enumerate(courses):
        level, dashes = LOOKS[number % len(LOOKS)]
        colour = shade(level)
        if course.quantity == "rain":
            axes.bar(
                [s.days for s in course.spans], [s.mean for s in course.spans], 0.8, color=colour, hatch="//"[:number]
            )
        else:
            days, least, mean, greatest = _broken(course)
            axes.fill_between(days, least, greatest, color=colour, alpha=0.22, linewidth=0)
            axes.plot(days, mean, color=colour, linestyle=dashes, linewidth=1.1)
        labels.append((course.spans[-1].mean, wrapped(f"{_mark(number)} {course.words}", 30, 2)))
        if len(courses) > 1 and course.quantity != "rain":
            _tag(axes, course, number)
    beside(axes, labels, size=6.5)


def _mark(number: int) -> str:
    return f"{number + 1}"


def _tag(axes: Axes, course: LoggedCourse, number: int) -> None:
    """The number of a course on its line, each a little further along so that they keep apart."""
    span = course.spans[min(len(course.spans) - 1, int(len(course.spans) * (0.12 + 0.13 * (number % 6))))]
    axes.annotate(
        _mark(number), (span.days, span.mean), (0, 0), textcoords="offset points", fontsize=6.5, ha="center",
        va="center_baseline", zorder=6, bbox={"facecolor": "#ffffff", "edgecolor": shade(LOOKS[number % len(LOOKS)][0]),
        "linewidth": 0.6, "boxstyle": "round,pad=0.15"},
    )  # fmt: skip


def _broken(course: LoggedCourse) -> tuple[list[float], list[float], list[float], list[float]]:
    """The spans as lines to draw, broken where the logger stood still."""
    rows = [(course.spans[0].days, course.spans[0].least, course.spans[0].mean, course.spans[0].greatest)]
    for before, after in pairwise(course.spans):
        if after.days - before.days > course.gap_days:
            rows.append(((before.days + after.days) / 2, math.nan, math.nan, math.nan))
        rows.append((after.days, after.least, after.mean, after.greatest))
    days, least, mean, greatest = (list(column) for column in zip(*rows, strict=True))
    return days, least, mean, greatest


def _days(length: float) -> list[float]:
    step = max(1, math.ceil(length / TICKS))
    return [float(day) for day in range(0, math.floor(length) + 1, step)]


def _day(start: date, day: float) -> str:
    words = day_words(start + timedelta(days=int(day)), weekday=False).split()
    return f"{words[0]} {words[1][:3]} {words[2]}"
