"""Wall maps to scale: a box with its value stands where the reading was taken, and nothing where none was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from matplotlib.figure import Figure as Drawing
from matplotlib.lines import Line2D
from matplotlib.patches import FancyBboxPatch, Rectangle

from cli.report.drawing.layout import Box, Ground, steps, text_width, wrapped
from cli.report.drawing.style import FAINT, INK, PAPER, RGB, SMALL, SOFT, WHITE, WIDTH_IN, ink_on, shade
from engine.reporting.figures.models import Mark, Shape, WallMap
from engine.reporting.figures.wording import counted, fixed

if TYPE_CHECKING:
    from matplotlib.axes import Axes

POINTS = 72.0
LEFT, RIGHT, TOP = 0.62, 0.18, 0.12
"""Margins around the wall [inches]."""
AXIS, LINE, KEY = 0.46, 0.145, 0.58
"""Room below the wall for its axis, for each line of notes and for the key [inches]."""
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
BEYOND = 0.12
"""How far over the wall's edges things are still drawn, as a share of its longer side."""
Dashes = Literal["solid"] | tuple[float, Sequence[float]]
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
OUTLINES: dict[str, tuple[float, Dashes]] = {
    "raised": (1.7, "solid"),
    "normal": (0.5, "solid"),
    "no-reference": (0.9, (0, (2, 1.2))),
}
"""Outline of a box by its state: width [points] and dashes."""


@dataclass(frozen=True, slots=True)
class _Laid:
    mark: Mark
    box: Box
    printed: bool


def draw_wall(found: WallMap) -> Drawing:
    """The map; its axes are in mm, as long across as up."""
    left, right, low, high = _extent(found)
    wide = WIDTH_IN - LEFT - RIGHT
    inches_per_mm, laid = _fitted(found, right - left, high - low)
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
    level = _levels(found)
    for one in laid:
        if one.printed:
            _box(axes, one, level, per_mm)
    _bare(axes, [one.mark for one in laid if not one.printed], level)
    _ruled(axes, found, (left, right, low, high))
    if any(mark.excess is not None for mark in found.marks):
        _key_to_levels(drawing, found, height)
    _key_to_boxes(drawing, found, height)
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


def _levels(found: WallMap) -> float:
    """The excess at the dark end of the palette: the greatest read, and 2 at least."""
    return max([2.0, *(mark.excess for mark in found.marks if mark.excess is not None)])


def _fitted(found: WallMap, across_mm: float, up_mm: float) -> tuple[float, list[_Laid]]:
    """The scale [inches per mm] and the boxes in it: with most values, else in the largest type, else least high."""
    scales = [min((WIDTH_IN - LEFT - RIGHT) / across_mm, height / up_mm) for height in HEIGHTS]
    tried = [(scale, _laid(found, scale * POINTS)) for scale in dict.fromkeys(scales)]
    return min(tried, key=lambda pair: (sum(not one.printed for one in pair[1]), -pair[1][0].box.tall))


def _laid(found: WallMap, per_mm: float) -> list[_Laid]:
    """A box for every place: with its value where there is room, the most raised first.

    In the largest type that leaves the fewest without.
    """
    ordered = sorted(found.marks, key=lambda m: (-(m.excess or 0.0), -m.value, m.x_mm, m.y_mm))
    sizes = SIZES if len(ordered) <= MANY else SIZES[-1:]
    return min((_laid_in(ordered, size, per_mm) for size in sizes), key=lambda laid: sum(not o.printed for o in laid))


def _laid_in(ordered: Sequence[Mark], size: float, per_mm: float) -> list[_Laid]:
    ground, laid = Ground(30.0), []
    for mark in ordered:
        box = _box_of(mark, size, per_mm)
        printed = _put(ground, Box(box.x, box.y, box.wide + APART, box.tall + APART))
        laid.append(_Laid(mark, box if printed else Box(box.x, box.y, BARE, BARE), printed))
    return laid


def _put(ground: Ground, box: Box) -> bool:
    if not ground.free(box):
        return False
    ground.lay(box)
    return True


def _box_of(mark: Mark, size: float, per_mm: float) -> Box:
    return Box(mark.x_mm * per_mm, mark.y_mm * per_mm, text_width(fixed(mark.value), size) + FRAME, size + FRAME)


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


def _shapes(axes: Axes, found: WallMap, keys: dict[str, str], laid: Sequence[_Laid], per_mm: float) -> None:
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


def _box(axes: Axes, one: _Laid, greatest: float, per_mm: float) -> None:
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


def _bare(axes: Axes, marks: Sequence[Mark], greatest: float) -> None:
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


def _key_to_levels(drawing: Drawing, found: WallMap, height: float) -> None:
    """The palette with its scale, as plain boxes."""
    greatest = _levels(found)
    axes = drawing.add_axes((LEFT / WIDTH_IN, 0.2 / height, 1.9 / WIDTH_IN, 0.11 / height))
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


def _key_to_boxes(drawing: Drawing, found: WallMap, height: float) -> None:
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
