"""Which shape a surveyor would name, knowing the truth, from the places that were read; and when no one could.

A mechanism has a shape (`SHAPES`). Whether the places show it is decided on what each meter would read there without
any scatter, in multiples of the rise that counts as raised (1 = raised): three points on a wood scale, a tenth of full
scale on a relative one (judgement). A wall whose places do not show its shape is *not nameable*: whoever names no
shape there is right. Where nothing is raised at any place, nothing raised is what the places show.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from engine.synthesis.air import JUNCTIONS
from engine.synthesis.flow import Field
from engine.synthesis.places import Places

SHAPES: dict[str, str | None] = {
    "capillary-rise": "base-high-falling",
    "residual-salts": "crest-over-drier-base",
    "point-leak": "patch",
    "driven-rain": "patch",
    "water-from-above": "top-down",
    "running-down": "streak",
    "surface-condensation": "even",
    "drying-out": "even",
    "cold-corner": None,  # by the junction, below
    "metal-bead": None,  # an edge line, which is no shape of moisture
    "dry": "none",
}
"""The shape that each mechanism makes."""

CORNER_SHAPES = dict(zip(JUNCTIONS, ("streak", "streak", "base-high-falling", "top-down"), strict=True))
"""A cold corner follows its junction: upright beside another wall, low along the floor, high along the ceiling."""

RAISED_POINTS, RAISED_SHARE = 3.0, 0.10
CLEARLY, BACKGROUND, HARDLY, FALLEN = 1.3, 0.9, 0.5, 0.5
"""Clearly, not quite and hardly raised, in multiples of raised; fallen off, as a share of the highest place."""


def shape_of(mechanism: str, parameters: Mapping[str, float]) -> str | None:
    """The shape that a mechanism makes, with what was drawn for it; None for metal."""
    if mechanism == "cold-corner":
        return CORNER_SHAPES[JUNCTIONS[int(parameters["cold-corner.junction"])]]
    return SHAPES[mechanism]


FOOT_MM, HEAD_MM = 300.0, 400.0
"""How near the floor and the head of the wall a column must be read to show what is highest there [mm]."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What one meter shows without scatter: places, excess in multiples of raised, size of the wall [mm]."""

    places: Places
    excess: Field
    width_mm: float
    height_mm: float

    def columns(self) -> list[tuple[float, Field, Field]]:
        """For every column its x [mm], heights [mm] from the lowest up, and excess."""
        found = []
        for number in np.unique(self.places.column):
            mine = self.places.column == number
            order = np.argsort(self.places.y_mm[mine])
            x = float(self.places.x_mm[mine].mean())
            found.append((x, self.places.y_mm[mine][order], self.excess[mine][order]))
        return found


def shows(shape: str, seen: Seen) -> bool:
    """Whether the places show the shape: enough of them inside it and around it, one column of four heights or more."""
    if seen.excess.size == 0 or all(len(y) < 4 for _, y, _ in seen.columns()):
        return False
    if shape == "none":
        return bool(seen.excess.max() < HARDLY)
    if seen.excess.max() < CLEARLY or np.count_nonzero(seen.excess >= 1) < 3:
        return False
    return _SHOWN[shape](seen)


def raised_all_over(seen: Seen) -> bool:
    """Whether all but a few places are about raised or more: *even* says so, if not where it is worst."""
    return seen.excess.size > 0 and bool(np.quantile(seen.excess, 0.1) >= BACKGROUND)


def _fallen(highest: float) -> float:
    """The excess to which readings must fall beside a highest place for the damp to be closed in there."""
    return min(FALLEN * highest, BACKGROUND)


def _base_high(seen: Seen) -> bool:
    return any(
        len(y) >= 4 and y[0] <= FOOT_MM and e[0] >= max(CLEARLY, 0.8 * e.max()) and e[-1] <= _fallen(e[0])
        for _, y, e in seen.columns()
    )


def _top_down(seen: Seen) -> bool:
    return any(
        len(y) >= 4
        and y[-1] >= seen.height_mm - HEAD_MM
        and e[-1] >= max(CLEARLY, 0.8 * e.max())
        and e[0] <= _fallen(e[-1])
        for _, y, e in seen.columns()
    )


def _crest(seen: Seen) -> bool:
    crests = []
    for x, y, e in seen.columns():
        top = int(np.argmax(e))
        if len(y) >= 4 and e[top] >= CLEARLY and 0 < top < len(y) - 1:
            around = max(e[:top].min(), e[top + 1 :].min())
            if around <= _fallen(e[top]):
                crests.append(x)
    return len(crests) >= 2 and max(crests) - min(crests) >= 1500


def _patch(seen: Seen) -> bool:
    columns = seen.columns()
    peak = max(range(len(columns)), key=lambda n: float(columns[n][2].max()))
    _, y, e = columns[peak]
    top, most = int(np.argmax(e)), float(e.max())
    if len(y) < 4 or not 0 < top < len(y) - 1:
        return False
    ends = max(max(each[0], each[-1]) for _, _, each in columns)
    closed_up_and_down = ends <= _fallen(most) and y[0] <= 0.5 * y[top]
    return bool(closed_up_and_down and _dry_beside(columns, peak, _fallen(most), seen.width_mm))


def _dry_beside(columns: list[tuple[float, Field, Field]], peak: int, limit: float, width_mm: float) -> bool:
    """Whether a column on either side of the wettest, or the end of the wall 400 mm or nearer, closes the damp in."""
    x = columns[peak][0]
    left = any(e.max() <= limit for _, _, e in columns[:peak]) or x <= 400
    right = any(e.max() <= limit for _, _, e in columns[peak + 1 :]) or x >= width_mm - 400
    return left and right


def _streak(seen: Seen) -> bool:
    columns = seen.columns()
    peak = max(range(len(columns)), key=lambda n: float(np.mean(columns[n][2])))
    _, y, e = columns[peak]
    damp = y[e >= 1]
    limit = _fallen(float(np.median(e[e >= 1]))) if damp.size else 0.0
    if damp.size < 3 or not _dry_beside(columns, peak, limit, seen.width_mm):
        return False
    left = max((c[0] for c in columns[:peak] if c[2].max() <= limit), default=0.0)
    right = min((c[0] for c in columns[peak + 1 :] if c[2].max() <= limit), default=seen.width_mm)
    return bool(damp[-1] - damp[0] >= max(1000.0, right - left))


def _even(seen: Seen) -> bool:
    low, high = np.quantile(seen.excess, [0.1, 0.9])
    tall = max(y[-1] - y[0] for _, y, _ in seen.columns())
    return bool(low >= CLEARLY and low >= 0.6 * high and tall >= 1000)


_SHOWN: dict[str, Callable[[Seen], bool]] = {
    "base-high-falling": _base_high,
    "crest-over-drier-base": _crest,
    "patch": _patch,
    "top-down": _top_down,
    "streak": _streak,
    "even": _even,
}

NAMES = tuple(_SHOWN)
"""The shapes that moisture makes on a wall; nothing raised is the absence of them."""
