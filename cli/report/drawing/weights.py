"""Weights of evidence on a cause as bars: for it to the right, against it to the left."""

from __future__ import annotations

import math

from matplotlib.figure import Figure as Drawing

from cli.report.drawing.chart import Room, notes_of, rule, sheet
from cli.report.drawing.layout import steps, wrapped
from cli.report.drawing.style import INK, SOFT, shade
from engine.reporting.figures.models import EvidenceWeights, Weight
from engine.reporting.figures.wording import counted, signed

MOST = 16
"""Bars beyond which the weakest are left to the table."""
LEAST_SPAN = 6.0
"""The axis reaches this far at least on either side [dB], so that weak evidence does not look strong."""


def draw_weights(found: EvidenceWeights) -> Drawing:
    """The bars, strongest for the cause at the top and strongest against it at the foot."""
    strongest = sorted(found.weights, key=lambda w: -abs(w.decibans))[:MOST]
    shown = [weight for weight in found.weights if weight in strongest]
    left_out = len(found.weights) - len(shown)
    together = signed(found.together_decibans) if math.isfinite(found.together_decibans) else "beyond measure"
    notes = notes_of(
        f"{found.title}: {found.words}. All findings together {together} dB. Each bar says how far belief moves with "
        "that one finding taken away; bars do not add up. Strengths are trade judgement.",
        f"{counted(left_out, 'weaker finding is', 'weaker findings are')} in the table only." if left_out else "",
    )
    drawing, axes = sheet(0.3 * len(shown) + 0.15, Room(2.75, 0.3, 0.3, 0.42), notes)
    finite = [abs(w.decibans) for w in shown if math.isfinite(w.decibans)]
    reach = max([LEAST_SPAN, *finite]) * 1.2
    axes.set_xlim(-reach, reach)
    axes.set_ylim(len(shown) - 0.5, -0.5)
    ticks = steps(-reach, reach, 9)
    axes.set_xticks(ticks)
    axes.set_xticklabels([signed(tick, 0) for tick in ticks])
    rule(axes, ticks)
    axes.set_xlabel("weight of evidence [dB]")
    axes.axvline(0, color=INK, linewidth=1.0, zorder=5)
    axes.spines["left"].set_visible(False)
    axes.set_yticks(range(len(shown)))
    axes.set_yticklabels([wrapped(weight.words, 44, 2) for weight in shown])
    axes.tick_params(axis="y", length=0)
    for words, x, side in (("against", -0.02, "right"), ("for", 0.02, "left")):
        axes.text(0.5 + x, 1.02, words, transform=axes.transAxes, ha=side, va="bottom", fontsize=8, fontweight="bold")
    for row, weight in enumerate(shown):
        speaks_for = weight.decibans > 0
        length = weight.decibans if math.isfinite(weight.decibans) else math.copysign(reach, weight.decibans)
        axes.barh(
            [row], [length], 0.62, color=shade(1.0 if speaks_for else 0.12), hatch=None if speaks_for else "////",
            edgecolor=INK if speaks_for else SOFT, linewidth=0.6, zorder=3,
        )  # fmt: skip
        axes.annotate(
            _said(weight), (min(max(length, -reach), reach), row), (3 if speaks_for else -3, 0),
            textcoords="offset points", ha="left" if speaks_for else "right", va="center_baseline", fontsize=7,
        )  # fmt: skip
    return drawing


def _said(weight: Weight) -> str:
    return signed(weight.decibans) if math.isfinite(weight.decibans) else "beyond measure"
