"""Levels against height, the modes beside one another, heights on the upright axis."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from matplotlib.figure import Figure as Drawing

from cli.report.drawing.chart import LINE, beside, notes_of, put_notes, quiet, rule
from cli.report.drawing.layout import steps
from cli.report.drawing.style import INK, PAPER, SMALL, SOFT, WIDTH_IN, shade
from engine.reporting.figures.models import HeightCourse, HeightProfile
from engine.reporting.figures.wording import capital, counted, fixed

if TYPE_CHECKING:
    from matplotlib.axes import Axes

TALL, LEFT, RIGHT, ABOVE, BELOW, BETWEEN = 3.4, 0.72, 1.8, 0.42, 0.45, 0.35
LOOKS = {
    "pins": ("o", "solid", 1.0),
    "capacitance": ("^", (0, (4, 2)), 0.5),
    "deep-pins": ("s", (0, (1, 1.5)), 0.8),
}
"""Marker, dashes and level of the palette by mode."""
MOST_POINTS = 500
"""Places beyond which only every so many of those off the line are drawn."""


def draw_profile(found: HeightProfile) -> Drawing:
    """The profile; modes with a dry reference share one pair of axes, one without has a pair of its own."""
    shared = [course for course in found.courses if course.referenced]
    panels = [*([shared] if shared else []), *([course] for course in found.courses if not course.referenced)]
    notes = notes_of(*(_note(course) for course in found.courses))
    foot = LINE * len(notes) + 0.1
    height = ABOVE + TALL + BELOW + foot
    drawing = Drawing(figsize=(WIDTH_IN, height))
    wide = (WIDTH_IN - LEFT - RIGHT - BETWEEN * (len(panels) - 1)) / len(panels)
    low, high = _heights(found)
    for number, courses in enumerate(panels):
        left = LEFT + number * (wide + BETWEEN)
        axes = drawing.add_axes((left / WIDTH_IN, (BELOW + foot) / height, wide / WIDTH_IN, TALL / height))
        quiet(axes)
        axes.set_ylim(low, high)
        ticks = steps(max(low, 0.0), high, 8)
        axes.set_yticks(ticks)
        axes.set_yticklabels([fixed(tick, 0) if number == 0 else "" for tick in ticks])
        rule(axes, ticks, across=True)
        _panel(axes, courses, found)
        if number == 0:
            axes.set_ylabel("height above the floor [mm]")
        if number == len(panels) - 1:
            labels = [(one.height_mm, f"{one.words}, {fixed(one.height_mm, 0)} mm") for one in found.heights]
            beside(axes, [label for label in labels if low <= label[0] <= high], size=6.5)
    put_notes(drawing, notes)
    return drawing


def _heights(found: HeightProfile) -> tuple[float, float]:
    read = [point.height_mm for course in found.courses for point in course.points]
    low, high = min([0.0, *read]), max(read)
    marked = [one.height_mm for one in found.heights if low - 300 <= one.height_mm <= high + 300]
    low, high = min([low, *marked]), max([high, *marked])
    return low - 0.03 * (high - low), high + 0.07 * (high - low)


def _panel(axes: Axes, courses: Sequence[HeightCourse], found: HeightProfile) -> None:
    referenced = courses[0].referenced
    levels = [point.level for course in courses for point in course.points]
    low, high = min([0.0, *levels]), max([2.0 if referenced else 1.0, *levels])
    axes.set_xlim(low - 0.05 * (high - low), high + 0.1 * (high - low))
    ticks = steps(low, high, 7)
    axes.set_xticks(ticks)
    axes.set_xticklabels([fixed(tick) for tick in ticks])
    for one in found.heights:
        axes.axhline(one.height_mm, color=SOFT, linewidth=0.8, linestyle=(0, (5, 2)), zorder=1)
    if referenced:
        axes.set_xlabel("rise over the dry reference")
        for value, words, width in ((0.0, "as the dry\nreference", 0.8), (1.0, "raised", 1.1)):
            axes.axvline(value, color=INK, linewidth=width, zorder=1)
            axes.annotate(
                words, (value, 1.0), (0, 2), ("data", "axes fraction"), "offset points", ha="center", va="bottom",
                fontsize=6.5, annotation_clip=False,
            )  # fmt: skip
    else:
        axes.set_xlabel(f"{courses[0].mode_words}: reading, no dry reference")
    for number, course in enumerate(courses):
        _course(axes, course, number)
    legend = axes.legend(
        loc="upper right", fontsize=SMALL, frameon=True, facecolor=PAPER, edgecolor="none", framealpha=0.9,
        handlelength=3.2,
    )  # fmt: skip
    legend.set_zorder(9)


def _course(axes: Axes, course: HeightCourse, number: int) -> None:
    marker, dashes, level = LOOKS[course.mode]
    colour = shade(level)
    other = course.points[:: len(course.points) // MOST_POINTS + 1]
    axes.plot(
        [point.level for point in other],
        [point.height_mm for point in other],
        linestyle="none", marker=marker, markersize=3.2, markerfacecolor="none", markeredgecolor=colour,
        markeredgewidth=0.5, alpha=0.75, zorder=3,
    )  # fmt: skip
    axes.plot(
        [level for _, level in course.line],
        [height for height, _ in course.line],
        linestyle=dashes, linewidth=1.5, marker=marker, markersize=5.5, color=colour, zorder=5,
        markerfacecolor=colour if number == 0 else PAPER, label=course.mode_words,
    )  # fmt: skip
    for height, value in course.line:
        axes.annotate(
            fixed(value), (value, height), (5, 3.5 if number % 2 == 0 else -8.5), textcoords="offset points",
            fontsize=6.5, color=INK, zorder=7, bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.3, "alpha": 0.7},
        )  # fmt: skip
    if course.fall_off_mm is not None:
        left, right = axes.get_xlim()
        axes.errorbar(
            [1.0 + 0.015 * number * (right - left)], [course.fall_off_mm], yerr=[course.bound_mm or 0.0], marker="_",
            markersize=9, color=colour, capsize=4, linewidth=1.2, zorder=6,
        )  # fmt: skip


def _note(course: HeightCourse) -> str:
    said = f"{capital(course.mode_words)}: {counted(len(course.points), 'place')}"
    if course.column_mm is not None:
        said += f"; the line: {fixed(course.column_mm, 0)} mm from the left"
    if course.fall_off_mm is not None:
        bound = f" ± {fixed(course.bound_mm, 0)}" if course.bound_mm is not None else ""
        said += f", below raised from {fixed(course.fall_off_mm, 0)}{bound} mm (upright bar)"
    if course.unreferenced:
        said += f"; {course.unreferenced} more without a dry reference not shown"
    return f"{said}."
