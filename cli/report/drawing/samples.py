"""Weighed samples: moisture as found beside hygroscopic moisture, a row to a sample, or by height or depth."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure as Drawing

from cli.report.drawing.chart import Room, beside, notes_of, rule, sheet
from cli.report.drawing.layout import steps, wrapped
from cli.report.drawing.style import INK, PAPER, SOFT, shade
from engine.reporting.figures.models import SamplePoint, SampleProfile
from engine.reporting.figures.wording import counted, fixed

MOST = 40
"""Samples beyond which the rest are left to the table."""
LABELS = {"height": "height above the floor [mm]", "depth": "depth below the surface [mm]"}


def draw_samples(found: SampleProfile) -> Drawing:
    """The profile; a line joins the two moistures of one sample."""
    placed = [p for p in found.points if p.at_mm is not None or found.axis == "sample"]
    shown = placed[:MOST]
    left_out = len(found.points) - len(shown)
    tall = max(1.3, min(0.34 * len(shown) + 0.4, 5.5)) if found.axis == "sample" else 3.2
    notes = notes_of(
        "Filled circle: moisture as found; open square: moisture at 75 % relative humidity (hygroscopic). Moisture as "
        "found beyond the hygroscopic is free water; bars are the weighing error.",
        "Samples of one place stand a little to either side of it." if _crowded(shown) else "",
        f"{counted(left_out, 'sample is', 'samples are')} in the table only." if left_out else "",
    )
    drawing, axes = sheet(tall, Room(0.72, 1.75, 0.12, 0.42), notes)
    rows = _rows(found, shown, tall)
    greatest = max([1.0, *(v for p in shown for v in (p.found_percent, p.hygroscopic_percent) if v is not None)])
    axes.set_xlim(0, greatest * 1.14)
    ticks = steps(0, greatest * 1.1, 8)
    axes.set_xticks(ticks)
    axes.set_xticklabels([fixed(tick) for tick in ticks])
    axes.set_xlabel("percent of dry mass")
    if found.axis == "sample":
        axes.set_ylim(len(shown) - 0.5, -0.5)
        axes.set_yticks([])
    else:
        values = [p.at_mm for p in shown if p.at_mm is not None]
        low, high = min([0.0, *values]), max(values)
        high += 0.12 * (high - low or 1.0)
        axes.set_ylim(*((low, high) if found.axis == "height" else (high, low)))
        heights = steps(low, high, 7)
        axes.set_yticks(heights)
        axes.set_yticklabels([fixed(height, 0) for height in heights])
        axes.set_ylabel(LABELS[found.axis])
        rule(axes, heights, across=True)
    beside(axes, [(row, wrapped(f"{p.sample}, {p.layer}", 30, 1)) for row, p in zip(rows, shown, strict=True)])
    for row, point in zip(rows, shown, strict=True):
        first, second = point.found_percent, point.hygroscopic_percent
        if first is not None and second is not None:
            axes.plot([second, first], [row, row], color=SOFT, linewidth=1.0, zorder=2)
        for value, marker, fill in ((second, "s", PAPER), (first, "o", shade(1.0))):
            if value is None:
                continue
            axes.errorbar(
                [value], [row], xerr=[point.error_percent], marker=marker, markersize=6, color=shade(1.0),
                markerfacecolor=fill, elinewidth=0.7, capsize=2, zorder=4,
            )  # fmt: skip
        pairs = [(value, first is None or second is None or value >= max(first, second)) for value in (second, first)
                 if value is not None]  # fmt: skip
        for value, right in pairs:
            axes.annotate(
                fixed(value), (value, row), (7 if right else -7, 3.2), textcoords="offset points", fontsize=6.5,
                color=INK, ha="left" if right else "right", zorder=6,
            )  # fmt: skip
    return drawing


def _rows(found: SampleProfile, shown: Sequence[SamplePoint], tall: float) -> list[float]:
    """Where each sample stands; those taken at one height or depth stand a little to either side of it."""
    if found.axis == "sample":
        return [float(number) for number in range(len(shown))]
    values = [point.at_mm or 0.0 for point in shown]
    apart = 12.0 / (tall * 72) * (max(values) or 1.0)
    rows = []
    for number, value in enumerate(values):
        alike = [other for other, at in enumerate(values) if at == value]
        rows.append(value + apart * (alike.index(number) - (len(alike) - 1) / 2))
    return rows


def _crowded(shown: Sequence[SamplePoint]) -> bool:
    places = [point.at_mm for point in shown if point.at_mm is not None]
    return len(set(places)) < len(places)
