"""Surface temperatures against the dew point of the room air, a row to each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure as Drawing

from cli.report.drawing.chart import Room, beside, notes_of, rule, sheet
from cli.report.drawing.layout import steps, wrapped
from cli.report.drawing.style import INK, PAPER, SOFT, shade
from engine.reporting.figures.models import ClimateSpot, ClimateStrip
from engine.reporting.figures.wording import counted, fixed, signed

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST = 30
"""Rows beyond which those furthest above the dew point are left to the table."""


def draw_spots(found: ClimateStrip) -> Drawing:
    """The strip; a line joins each surface with the dew point of its visit."""
    nearest = sorted(range(len(found.spots)), key=lambda i: (_margin(found.spots[i]), i))[:MOST]
    shown = [found.spots[i] for i in sorted(nearest)]
    left_out = len(found.spots) - len(shown)
    notes = notes_of(
        "Filled circle: surface, with its thermometer's tolerance; open diamond: dew point of the room air; bar: room "
        "air. Water condenses on a surface below the dew point; mould needs less.",
        "Set aside, crossed out: a reading that does not count." if any(s.set_aside for s in shown) else "",
        f"{counted(left_out, 'surface', 'surfaces')} further above the dew point only in the table."
        if left_out
        else "",
    )
    drawing, axes = sheet(max(0.8, 0.36 * len(shown) + 0.25), Room(2.35, 1.3, 0.1, 0.42), notes)
    values = [v for s in shown for v in (s.surface_c, s.dew_point_c, s.air_c) if v is not None]
    low, high = min(values) - 1.5, max(values) + 1.5
    axes.set_xlim(low, high)
    axes.set_ylim(len(shown) - 0.5, -0.5)
    ticks = steps(low, high, 8)
    axes.set_xticks(ticks)
    axes.set_xticklabels([fixed(tick) for tick in ticks])
    rule(axes, ticks)
    axes.set_xlabel("temperature [°C]")
    axes.set_yticks(range(len(shown)))
    axes.set_yticklabels([wrapped(f"{s.place}, {s.visit_words}", 34, 2) for s in shown])
    labels = []
    for row, spot in enumerate(shown):
        if spot.dew_point_c is not None:
            axes.plot([spot.dew_point_c, spot.surface_c], [row, row], color=SOFT, linewidth=1.0, zorder=2)
            axes.plot([spot.dew_point_c], [row], marker="D", markersize=5.5, color=shade(1.0), markerfacecolor=PAPER)
            _value(spot.dew_point_c, row, axes)
        if spot.air_c is not None:
            axes.plot([spot.air_c], [row], marker="|", markersize=9, color=INK, markeredgewidth=1.4)
        axes.errorbar(
            [spot.surface_c], [row], xerr=[spot.tolerance_k or 0.0], marker="x" if spot.set_aside else "o",
            markersize=6, color=shade(1.0), elinewidth=0.8, capsize=2.5, zorder=4,
        )  # fmt: skip
        _value(spot.surface_c, row, axes)
        labels.append((float(row), _said(spot)))
    beside(axes, labels)
    return drawing


def _margin(spot: ClimateSpot) -> float:
    return spot.surface_c - spot.dew_point_c if spot.dew_point_c is not None else 1e9


def _said(spot: ClimateSpot) -> str:
    if spot.set_aside:
        return "set aside"
    return "no room air" if spot.dew_point_c is None else f"{signed(_margin(spot))} K"


def _value(value: float, row: int, axes: Axes) -> None:
    axes.annotate(fixed(value), (value, row), (0, 6), textcoords="offset points", fontsize=6.5, ha="center", zorder=6)
