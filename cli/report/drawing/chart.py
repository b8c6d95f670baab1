"""What the charts share: axes of a stated size, labels beside them that keep clear of one another, notes below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from matplotlib.figure import Figure as Drawing
from matplotlib.lines import Line2D

from cli.report.drawing.layout import spread, wrapped
from cli.report.drawing.style import FAINT, SMALL, SOFT, WIDTH_IN

if TYPE_CHECKING:
    from matplotlib.axes import Axes

POINTS = 72.0
LINE = 0.145
"""Height of a line of notes [inches]."""
LETTERS_ACROSS = 118
"""Letters that a line of notes holds."""


@dataclass(frozen=True, slots=True)
class Room:
    """Room around axes [inches]."""

    left: float
    right: float
    above: float
    below: float


def notes_of(*texts: str) -> list[str]:
    """Texts as lines of notes, the empty ones left out."""
    return [line for text in texts if text for line in wrapped(text, LETTERS_ACROSS, 4).split("\n")]


def sheet(tall: float, room: Room, notes: Sequence[str]) -> tuple[Drawing, Axes]:
    """A drawing with one pair of axes ``tall`` inches high and notes at its foot."""
    foot = LINE * len(notes) + 0.1
    height = room.above + tall + room.below + foot
    drawing = Drawing(figsize=(WIDTH_IN, height))
    axes = drawing.add_axes(
        (
            room.left / WIDTH_IN,
            (room.below + foot) / height,
            (WIDTH_IN - room.left - room.right) / WIDTH_IN,
            tall / height,
        )
    )
    quiet(axes)
    put_notes(drawing, notes)
    return drawing, axes


def put_notes(drawing: Drawing, notes: Sequence[str]) -> None:
    """Lines of notes at the foot of a drawing."""
    height = float(drawing.get_figheight())
    for number, line in enumerate(notes):
        y = (LINE * (len(notes) - number) + 0.02) / height
        drawing.text(0.12 / WIDTH_IN, y, line, fontsize=SMALL, va="top")


def quiet(axes: Axes) -> None:
    """Axes without a frame on the right and above, and with short ticks."""
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.tick_params(length=2.5, width=0.6)


def beside(axes: Axes, labels: Sequence[tuple[float, str]], *, size: float = SMALL) -> None:
    """Labels right of the axes at heights in data, moved apart where they would meet, with a line to their height."""
    if not labels:
        return
    low, high = axes.get_ylim()
    box = axes.get_position()
    figure = axes.get_figure(root=True)
    tall = float(box.height) * (float(figure.get_figheight()) if figure is not None else 1.0) * POINTS
    wanted = [(value - low) / (high - low) * tall for value, _ in labels]
    lines = [text.count("\n") + 1 for _, text in labels]
    placed = spread(wanted, max(lines) * size * 1.25, 0.0, tall)
    for (value, text), at in zip(labels, placed, strict=True):
        share, level = at / tall, (value - low) / (high - low)
        axes.add_line(
            Line2D(
                (1.0, 1.02, 1.035), (level, share, share), transform=axes.transAxes, color=SOFT, lw=0.5, clip_on=False
            )
        )
        axes.text(1.042, share, text, transform=axes.transAxes, fontsize=size, va="center", clip_on=False)


def rule(axes: Axes, values: Sequence[float], *, across: bool = False) -> None:
    """Faint lines at some values, behind everything."""
    for value in values:
        if across:
            axes.axhline(value, color=FAINT, linewidth=0.5, zorder=0)
        else:
            axes.axvline(value, color=FAINT, linewidth=0.5, zorder=0)
