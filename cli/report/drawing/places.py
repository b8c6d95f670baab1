"""The places of a wall map: boxes with their values, laid out so that none lies on another, and the key to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from matplotlib.figure import Figure as Drawing
from matplotlib.lines import Line2D
from matplotlib.patches import FancyBboxPatch, Rectangle

from cli.report.drawing.layout import Box, Ground, steps, text_width
from cli.report.drawing.style import INK, PAPER, RGB, SOFT, WHITE, WIDTH_IN, ink_on, shade
from engine.reporting.figures.models import Mark, WallMap
from engine.reporting.figures.wording import fixed

if TYPE_CHECKING:
    from matplotlib.axes import Axes

POINTS = 72.0
HEIGHTS = (2.6, 3.6, 4.6, 5.6)
"""Heights that a wall is drawn in [inches]: the least in which every value can be printed at the largest size."""
SIZES = (7.0, 6.5, 6.0, 5.5, 5.0)
"""Type sizes of the printed values [points], the largest that leaves every box its own ground is taken."""
FRAME = 4.5
"""How much larger a box is than its value [points]."""
APART = 2.0
"""Room left between two boxes [points]."""
MANY = 600
"""Places beyond which only the smallest type is tried."""
BARE = 4.0
"""Side of a box too crowded for its value [points]."""
Dashes = Literal["solid"] | tuple[float, Sequence[float]]
OUTLINES: dict[str, tuple[float, Dashes]] = {
    "raised": (1.7, "solid"),
    "normal": (0.5, "solid"),
    "no-reference": (0.9, (0, (2, 1.2))),
}
"""Outline of a box by its state: width [points] and dashes."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A place and its box [points from the bottom left of the surface]; ``printed`` says that its value has room."""

    mark: Mark
    box: Box
    printed: bool


def greatest_level(found: WallMap) -> float:
    """The excess at the dark end of the palette: the greatest read, and 2 at least."""
    return max([2.0, *(mark.excess for mark in found.marks if mark.excess is not None)])


def fitted(found: WallMap, wide_in: float, across_mm: float, up_mm: float) -> tuple[float, list[Laid]]:
    """The scale [inches per mm] and the boxes in it: with most values, else in the largest type, else least high."""
    scales = [min(wide_in / across_mm, height / up_mm) for height in HEIGHTS]
    tried = [(scale, laid_out(found, scale * POINTS)) for scale in dict.fromkeys(scales)]
    return min(tried, key=lambda pair: (sum(not one.printed for one in pair[1]), -pair[1][0].box.tall))


def laid_out(found: WallMap, per_mm: float) -> list[Laid]:
    """A box for every place: with its value where there is room, the most raised first.

    In the largest type that leaves the fewest without.
    """
    ordered = sorted(found.marks, key=lambda m: (-(m.excess or 0.0), -m.value, m.x_mm, m.y_mm))
    sizes = SIZES if len(ordered) <= MANY else SIZES[-1:]
    return min((_laid_in(ordered, size, per_mm) for size in sizes), key=lambda laid: sum(not o.printed for o in laid))


def _laid_in(ordered: Sequence[Mark], size: float, per_mm: float) -> list[Laid]:
    ground, laid = Ground(30.0), []
    for mark in ordered:
        box = _box_of(mark, size, per_mm)
        printed = _put(ground, Box(box.x, box.y, box.wide + APART, box.tall + APART))
        laid.append(Laid(mark, box if printed else Box(box.x, box.y, BARE, BARE), printed))
    return laid


def _put(ground: Ground, box: Box) -> bool:
    if not ground.free(box):
        return False
    ground.lay(box)
    return True


def _box_of(mark: Mark, size: float, per_mm: float) -> Box:
    return Box(mark.x_mm * per_mm, mark.y_mm * per_mm, text_width(fixed(mark.value), size) + FRAME, size + FRAME)


def put_box(axes: Axes, one: Laid, greatest: float, per_mm: float) -> None:
    """A box with its value; ``greatest`` is the excess at the dark end, ``per_mm`` the scale [points per mm]."""
    mark, box = one.mark, one.box
    colour = _colour(mark, greatest)
    width, dashes = OUTLINES.get(mark.state, (0.7, "solid"))
    wide, tall = box.wide / per_mm, box.tall / per_mm
    axes.add_patch(
        FancyBboxPatch(
            (box.x / per_mm - wide / 2, box.y / per_mm - tall / 2),
            wide,
            tall,
            boxstyle=f"round,pad=0,rounding_size={(0.4 if mark.state == 'raised' else 3.5) / per_mm}",
            facecolor=colour,
            edgecolor=INK if mark.state == "raised" else SOFT,
            linewidth=width,
            linestyle=dashes,
            zorder=6,
        )
    )
    if mark.state == "set-aside":
        half_x, half_y = wide / 2, tall / 2
        x, y = mark.x_mm, mark.y_mm
        axes.add_line(Line2D((x - half_x, x + half_x), (y - half_y, y + half_y), color=SOFT, linewidth=0.7, zorder=8))
    axes.text(
        mark.x_mm,
        mark.y_mm,
        fixed(mark.value),
        fontsize=box.tall - FRAME,
        color=ink_on(colour),
        ha="center",
        va="center_baseline",
        zorder=7,
    )


def put_bare(axes: Axes, marks: Sequence[Mark], greatest: float) -> None:
    """Places too crowded for their values, as small marks: square where raised, crossed where set aside, else round."""
    for state, marker in (("normal", "o"), ("no-reference", "D"), ("raised", "s"), ("set-aside", "x")):
        mine = [mark for mark in marks if mark.state == state]
        if mine:
            axes.scatter(
                [mark.x_mm for mark in mine],
                [mark.y_mm for mark in mine],
                s=BARE**2,
                marker=marker,
                c=SOFT if marker == "x" else [_colour(mark, greatest) for mark in mine],
                linewidths=0.5,
                edgecolors=None if marker == "x" else INK if state == "raised" else SOFT,
                zorder=6.5,
            )


def _colour(mark: Mark, greatest: float) -> RGB:
    return shade(mark.excess / greatest) if mark.excess is not None else WHITE


def key_to_levels(drawing: Drawing, found: WallMap, left_in: float, height: float) -> None:
    """The palette with its scale, as plain boxes."""
    greatest = greatest_level(found)
    axes = drawing.add_axes((left_in / WIDTH_IN, 0.2 / height, 1.9 / WIDTH_IN, 0.11 / height))
    parts = 40
    for part in range(parts):
        level = (part + 0.5) / parts
        axes.add_patch(
            Rectangle((part / parts * greatest, 0), greatest / parts * 1.02, 1, facecolor=shade(level), linewidth=0)
        )
    axes.set_xlim(0, greatest)
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    ticks = steps(0, greatest, 6)
    axes.set_xticks(ticks)
    axes.set_xticklabels([fixed(tick) for tick in ticks])
    axes.tick_params(length=2, width=0.6, labelsize=6, pad=1.5)
    axes.axvline(1, color=INK, linewidth=1.4)
    axes.set_title("rise over the dry reference (1: raised)", fontsize=6, loc="left", pad=2)


def key_to_boxes(drawing: Drawing, found: WallMap, height: float) -> None:
    """What the outlines mean, for the states that occur."""
    words = {
        "raised": "raised: square, thick",
        "normal": "not raised: round, thin",
        "no-reference": "no dry reference: dashed",
        "set-aside": "set aside: struck out",
    }
    states = [state for state in words if any(mark.state == state for mark in found.marks)]
    axes = drawing.add_axes((2.75 / WIDTH_IN, 0.05 / height, (WIDTH_IN - 2.9) / WIDTH_IN, 0.4 / height))
    axes.set_xlim(0, (WIDTH_IN - 2.9) * POINTS)
    axes.set_ylim(0, 0.4 * POINTS)
    axes.axis("off")
    for number, state in enumerate(states):
        width, dashes = OUTLINES.get(state, (0.7, "solid"))
        x, y = 4 + 150 * (number % 2), 20 - 13 * (number // 2)
        axes.add_patch(
            FancyBboxPatch(
                (x, y - 4),
                14,
                8,
                boxstyle=f"round,pad=0,rounding_size={0.4 if state == 'raised' else 3.5}",
                facecolor=PAPER,
                edgecolor=INK if state == "raised" else SOFT,
                linewidth=width,
                linestyle=dashes,
            )
        )
        if state == "set-aside":
            axes.add_line(Line2D((x, x + 14), (y - 4, y + 4), color=SOFT, linewidth=0.7))
        axes.text(x + 19, y, words[state], fontsize=6.5, va="center")
