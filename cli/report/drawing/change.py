"""Change between visits: each place before and after, and the course of the median."""

from __future__ import annotations

from matplotlib.figure import Figure as Drawing

from cli.report.drawing.chart import LINE, notes_of, put_notes, quiet, rule
from cli.report.drawing.layout import steps, wrapped
from cli.report.drawing.style import INK, PAPER, SOFT, WIDTH_IN, shade
from engine.reporting.figures.models import PlaceCourse, VisitChange
from engine.reporting.figures.wording import counted, fixed, signed

MOST = 30
"""Rows beyond which the places that changed least are left to the table."""
LEFT, RIGHT, ABOVE, BELOW, COURSE, BETWEEN = 2.1, 0.35, 0.12, 0.42, 1.3, 0.6
MARKERS = {"pins": "o", "capacitance": "^", "deep pins": "s"}


def draw_change(found: VisitChange) -> Drawing:
    """Rows of places from before (open) to after (filled); above them the median over three or more visits."""
    most = sorted(found.places, key=lambda p: -abs(p.after - p.before))[:MOST]
    shown = [place for place in found.places if place in most]
    left_out = len(found.places) - len(shown)
    notes = notes_of(
        f"Open: {found.earlier}; filled: {found.later}, {found.days} days later. Round pins, triangle capacitance, "
        f"square deep pins. Median change {signed(found.median_change)} ± {fixed(found.error)}: {found.verdict}.",
        f"{counted(left_out, 'place that changed less is', 'places that changed less are')} in the table only."
        if left_out
        else "",
    )
    tall = 0.21 * len(shown) + 0.2
    foot = LINE * len(notes) + 0.1
    course = COURSE + BETWEEN if found.course else 0.0
    height = ABOVE + course + tall + BELOW + foot
    drawing = Drawing(figsize=(WIDTH_IN, height))
    if found.course:
        _course(drawing, found, height)
    axes = drawing.add_axes(
        (LEFT / WIDTH_IN, (BELOW + foot) / height, (WIDTH_IN - LEFT - RIGHT) / WIDTH_IN, tall / height)
    )
    quiet(axes)
    levels = [level for place in shown for level in (place.before, place.after)]
    low, high = min([0.0, *levels]), max([1.5, *levels])
    axes.set_xlim(low - 0.08 * (high - low), high + 0.08 * (high - low))
    axes.set_ylim(len(shown) - 0.5, -0.5)
    ticks = steps(low, high, 8)
    axes.set_xticks(ticks)
    axes.set_xticklabels([fixed(tick) for tick in ticks])
    rule(axes, ticks)
    axes.set_xlabel("rise over the dry reference (1: raised)")
    axes.axvline(1, color=INK, linewidth=1.1, zorder=1)
    axes.set_yticks(range(len(shown)))
    several = len({place.surface for place in found.places}) > 1
    axes.set_yticklabels([_label(place, several) for place in shown])
    for row, place in enumerate(shown):
        marker = MARKERS[place.mode_words]
        axes.plot([place.before, place.after], [row, row], color=SOFT, linewidth=1.0, zorder=2)
        for value, fill in ((place.before, PAPER), (place.after, shade(1.0))):
            axes.plot([value], [row], marker=marker, markersize=5.5, color=shade(1.0), markerfacecolor=fill, zorder=4)
            right = value == max(place.before, place.after)
            axes.annotate(
                fixed(value), (value, row), (6 if right else -6, 0), textcoords="offset points", fontsize=6.5,
                ha="left" if right else "right", va="center_baseline", zorder=6,
            )  # fmt: skip
    put_notes(drawing, notes)
    return drawing


def _label(place: PlaceCourse, several: bool) -> str:
    where = f"{place.mode_words}, {fixed(place.x_mm, 0)} across, {fixed(place.height_mm, 0)} up"
    return wrapped(f"{place.surface}: {where}" if several else where, 40, 2)


def _course(drawing: Drawing, found: VisitChange, height: float) -> None:
    axes = drawing.add_axes(
        (0.75 / WIDTH_IN, (height - ABOVE - COURSE) / height, (WIDTH_IN - 0.75 - 0.6) / WIDTH_IN, COURSE / height)
    )
    quiet(axes)
    days = [day for _, day, _ in found.course]
    levels = [level for _, _, level in found.course]
    axes.plot(days, levels, marker="o", markersize=5.5, color=shade(1.0), linewidth=1.4)
    for day, level in zip(days, levels, strict=True):
        axes.annotate(fixed(level), (day, level), (0, 6), textcoords="offset points", fontsize=7, ha="center")
    axes.set_xlim(-0.04 * days[-1], 1.04 * days[-1])
    low, high = min([0.0, *levels]), max([1.5, *levels])
    axes.set_ylim(low, high * 1.18)
    axes.axhline(1, color=INK, linewidth=1.0, zorder=1)
    axes.set_xticks(days)
    axes.set_xticklabels([words for words, _, _ in found.course])
    ticks = steps(low, high, 5)
    axes.set_yticks(ticks)
    axes.set_yticklabels([fixed(tick) for tick in ticks])
    axes.set_ylabel("median rise\nover the reference")
