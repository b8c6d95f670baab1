"""Wall maps to scale: a box with its value stands where the reading was taken, and nothing where none was."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from matplotlib.figure import Figure as Drawing
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from cli.report.drawing.layout import Box, Ground, steps, wrapped
from cli.report.drawing.places import (
    POINTS,
    Dashes,
    Laid,
    fitted,
    greatest_level,
    key_to_boxes,
    key_to_levels,
    put_bare,
    put_box,
)
from cli.report.drawing.style import FAINT, INK, PAPER, SMALL, SOFT, WIDTH_IN
from engine.reporting.figures.models import Shape, WallMap
from engine.reporting.figures.wording import counted, fixed

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LEFT, RIGHT, TOP = 0.62, 0.18, 0.12
"""Margins around the wall [inches]."""
AXIS, LINE, KEY = 0.46, 0.145, 0.58
"""Room below the wall for its axis, for each line of notes and for the key [inches]."""
BEYOND = 0.12
"""How far over the wall's edges things are still drawn, as a share of its longer side."""
BAND = "#e4e7ea"
LETTERS = "abcdefghijklmnopqrstuvwxyz"
LINES: dict[str, tuple[float, Dashes]] = {
    "outside-ground-line": (1.6, (0, (6, 1.5))),
    "damp-proof-course-line": (1.3, (0, (4, 1.5, 1, 1.5))),
    "floor-line": (1.2, "solid"),
    "pipe": (2.0, "solid"),
    "waste-pipe": (2.6, "solid"),
    "gutter": (2.2, "solid"),
    "downpipe": (2.2, "solid"),
}
"""Width [points] and dashes of features drawn as lines; any other is thin and solid."""
HATCHES = {"window": "//", "door": "//", "opening": "//", "radiator": "||", "furniture": "\\\\"}
FILLED = ("skirting", "sill", "lintel")
"""Features drawn as a grey band."""


def draw_wall(found: WallMap) -> Drawing:
    """The map; its axes are in mm, as long across as up."""
    left, right, low, high = _extent(found)
    wide = WIDTH_IN - LEFT - RIGHT
    inches_per_mm, laid = fitted(found, wide, right - left, high - low)
    across, tall = (right - left) * inches_per_mm, (high - low) * inches_per_mm
    per_mm = inches_per_mm * POINTS
    keys = _keys(found)
    notes = _notes(found, keys, sum(not one.printed for one in laid))
    below = AXIS + LINE * len(notes) + KEY
    height = TOP + tall + below
    drawing = Drawing(figsize=(WIDTH_IN, height))
    axes = drawing.add_axes(((LEFT + (wide - across) / 2) / WIDTH_IN, below / height, across / WIDTH_IN, tall / height))
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    _surface(axes, found)
    _shapes(axes, found, keys, laid, per_mm)
    level = greatest_level(found)
    for one in laid:
        if one.printed:
            put_box(axes, one, level, per_mm)
    put_bare(axes, [one.mark for one in laid if not one.printed], level)
    _ruled(axes, found, (left, right, low, high))
    if any(mark.excess is not None for mark in found.marks):
        key_to_levels(drawing, found, LEFT, height)
    key_to_boxes(drawing, found, height)
    for number, line in enumerate(notes):
        drawing.text(LEFT / WIDTH_IN, (KEY + LINE * (len(notes) - number)) / height, line, fontsize=SMALL, va="top")
    return drawing


def _extent(found: WallMap) -> tuple[float, float, float, float]:
    """What is drawn [mm]: the whole surface, and what lies over its edges, as far as is sensible."""
    over = BEYOND * max(found.width_mm, found.height_mm)
    across = [0.0, found.width_mm, *(mark.x_mm for mark in found.marks)]
    up = [0.0, found.height_mm, *(mark.y_mm for mark in found.marks)]
    for item in found.features:
        across += [item.x_mm, item.to_x_mm]
        up += [item.y_mm, item.to_y_mm]
    least = 0.015 * max(found.width_mm, found.height_mm)
    return (
        max(min(across), -over) - least,
        min(max(across), found.width_mm + over) + least,
        max(min(up), -over) - least,
        min(max(up), found.height_mm + over) + least,
    )


def _surface(axes: Axes, found: WallMap) -> None:
    axes.add_patch(
        Rectangle((0, 0), found.width_mm, found.height_mm, facecolor=PAPER, edgecolor=INK, linewidth=1.1, zorder=1)
    )
    for item in found.zones:
        _rectangle(axes, item, edgecolor=SOFT, linestyle=(0, (1, 2)), linewidth=0.9, zorder=2)


def _rectangle(axes: Axes, item: Shape, **looks: object) -> None:
    left, right = sorted((item.x_mm, item.to_x_mm))
    low, high = sorted((item.y_mm, item.to_y_mm))
    looks.setdefault("facecolor", "none")
    axes.add_patch(Rectangle((left, low), right - left, high - low, **looks))  # type: ignore[arg-type]


def _keys(found: WallMap) -> dict[str, str]:
    """A letter for every kind of thing on the surface, in the order of the case."""
    words = dict.fromkeys([*(item.words for item in found.features), *(f"{z.words} zone" for z in found.zones)])
    return {name: LETTERS[number] if number < len(LETTERS) else "*" for number, name in enumerate(words)}


def _shapes(axes: Axes, found: WallMap, keys: dict[str, str], laid: Sequence[Laid], per_mm: float) -> None:
    ground = Ground(30.0)
    for one in laid:
        ground.lay(one.box)
    for item in found.features:
        width, dashes = LINES.get(item.kind, (0.9, "solid"))
        if item.shape == "line":
            axes.add_line(
                Line2D(
                    (item.x_mm, item.to_x_mm),
                    (item.y_mm, item.to_y_mm),
                    color=INK if item.kind == "outside-ground-line" else SOFT,
                    linewidth=width,
                    linestyle=dashes,
                    zorder=4,
                )
            )
        else:
            ground_colour = BAND if item.kind in FILLED else "none"
            hatch = HATCHES.get(item.kind)
            _rectangle(axes, item, facecolor=ground_colour, edgecolor=FAINT, hatch=hatch, linewidth=0, zorder=2)
            _rectangle(axes, item, edgecolor=SOFT, linewidth=0.9, zorder=3)
        _letter(axes, item, keys[item.words], ground, per_mm)
    for item in found.zones:
        _letter(axes, item, keys[f"{item.words} zone"], ground, per_mm)


def _letter(axes: Axes, item: Shape, letter: str, ground: Ground, per_mm: float) -> None:
    """The letter of a thing, at the first of its corners, ends and middle that is free and on the drawing."""
    left, right = sorted((item.x_mm, item.to_x_mm))
    low, high = sorted((item.y_mm, item.to_y_mm))
    middle_x, middle_y = (left + right) / 2, (low + high) / 2
    if item.shape == "line":
        ends = ((item.x_mm, item.y_mm), (item.to_x_mm, item.to_y_mm))
        tried = [(x, y, 0.0, dy) for dy in (5.5, -5.5) for x, y in (*ends, (middle_x, middle_y))]
    else:
        tried = [(left, high, 5.0, -6.0), (right, high, -5.0, -6.0), (left, low, 5.0, 6.0), (right, low, -5.0, 6.0)]
        tried += [(middle_x, middle_y, 0.0, 0.0), (middle_x, high, 0.0, 5.5), (right, middle_y, 6.0, 0.0)]
    (least_x, most_x), (least_y, most_y) = axes.get_xlim(), axes.get_ylim()
    inside = [
        (x * per_mm + dx, y * per_mm + dy)
        for x, y, dx, dy in tried
        if least_x <= x + (dx + 3) / per_mm <= most_x + 6 / per_mm and least_y <= y + dy / per_mm <= most_y
    ]
    boxes = [Box(x, y, 7.5, 8.5) for x, y in inside] or [Box(middle_x * per_mm, middle_y * per_mm, 7.5, 8.5)]
    box = next((one for one in boxes if ground.free(one)), boxes[0])
    ground.lay(box)
    axes.text(
        box.x / per_mm,
        box.y / per_mm,
        letter,
        fontsize=SMALL,
        fontstyle="italic",
        fontweight="bold",
        color=INK,
        ha="center",
        va="center_baseline",
        zorder=5,
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.85},
    )


def _ruled(axes: Axes, found: WallMap, extent: tuple[float, float, float, float]) -> None:
    left, right, low, high = extent
    most = max(3, int((right - left) / max(right - left, high - low) * 9))
    axes.set_xticks(steps(max(left, 0.0), min(right, found.width_mm), most))
    axes.set_yticks(steps(max(low, 0.0), min(high, found.height_mm), max(3, int(most * (high - low) / (right - left)))))
    axes.set_xticklabels([fixed(value, 0) for value in axes.get_xticks()])
    axes.set_yticklabels([fixed(value, 0) for value in axes.get_yticks()])
    axes.tick_params(length=2.5, width=0.6)
    axes.set_xlabel("mm from the left, as seen from the room", labelpad=2)
    axes.set_ylabel("mm up" if found.kind not in ("floor", "ceiling") else "mm from the near edge", labelpad=2)
    for side in ("top", "right", "left", "bottom"):
        axes.spines[side].set_visible(False)


def _notes(found: WallMap, keys: dict[str, str], unprinted: int) -> list[str]:
    """What the map needs to be read alone: mode, day, instruments with their dry references, letters."""
    lines = [f"{found.mode_words}, {found.visit_words}; {found.title}, {found.material}; blank where nothing was read"]
    for scale in found.scales:
        references = ", ".join(f"{fixed(value)} on {material}" for material, value in scale.references)
        lines.append(f"{scale.instrument}: {scale.words}; dry reference {references or 'not taken'}")
    if keys:
        lines.append("   ".join(f"{letter} {words}" for words, letter in keys.items()))
    if unprinted:
        lines.append(
            f"{counted(unprinted, 'place stands', 'places stand')} too close for a value; the table has them all"
        )
    return [part for line in lines for part in wrapped(line, 118, 3).split("\n")]
