"""How samples run up a wall: one column of them, and the shape of its free water."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

LEAST_HEIGHTS = 3
"""Fewer heights than these make no profile."""

Shape = Literal["falls-from-base", "at-all-heights", "highest-above-base", "none"]


@dataclass(frozen=True, slots=True)
class SampleMoisture:
    """One sample: moisture as found and hygroscopic [% of dry mass], where it was taken [mm], the weighing error.

    ``skin`` is whether it is of the surface layer, None where its depth is not stated.
    """

    id: str
    visit: str
    surface: str | None
    height_mm: float | None
    skin: bool | None
    found_percent: float | None
    hygroscopic_percent: float | None
    error_percent: float
    by_carbide: bool

    @property
    def free_percent(self) -> float | None:
        """Moisture as found less hygroscopic moisture [% of dry mass]; None unless both are known."""
        if self.found_percent is None or self.hygroscopic_percent is None:
            return None
        return self.found_percent - self.hygroscopic_percent

    @property
    def holds_free_water(self) -> bool:
        """Whether it holds free water beyond the weighing error."""
        return self.free_percent is not None and self.free_percent > self.error_percent


@dataclass(frozen=True, slots=True)
class Column:
    """Values [% of dry mass] at heights [mm] of one surface, lowest first, and the largest weighing error of them."""

    points: tuple[tuple[float, float], ...]
    error: float


def column_of(
    samples: Iterable[SampleMoisture], quantity: Literal["free_percent", "hygroscopic_percent"]
) -> Column | None:
    """The column with most heights of one surface's core; None below three heights. Same heights are averaged."""
    surfaces: dict[str, dict[float, list[float]]] = {}
    errors: dict[str, float] = {}
    for one in samples:
        value: float | None = getattr(one, quantity)
        if value is None or one.height_mm is None or one.skin:
            continue
        name = one.surface or ""
        surfaces.setdefault(name, {}).setdefault(one.height_mm, []).append(value)
        errors[name] = max(errors.get(name, 0.0), one.error_percent)
    if not surfaces:
        return None
    name = max(sorted(surfaces), key=lambda surface: len(surfaces[surface]))
    heights = surfaces[name]
    if len(heights) < LEAST_HEIGHTS:
        return None
    return Column(
        tuple((height, sum(heights[height]) / len(heights[height])) for height in sorted(heights)), errors[name]
    )


def profile_shape(column: Column, base_zone_mm: float) -> Shape | None:
    """Shape of the free water up a column; None where it fits none, or does not begin near the base.

    ``none``: nowhere beyond the error. ``highest-above-base``: the most is above the base zone and beyond the
    lowest sample by more than the error. ``at-all-heights``: beyond the error everywhere, and nowhere less than
    half of the most. ``falls-from-base``: the lowest holds the most, within the error, and the top less than
    half of it.
    """
    values = [value for _, value in column.points]
    most, lowest, top = max(values), values[0], values[-1]
    if most <= column.error:
        return "none"
    if column.points[0][0] > base_zone_mm:
        return None
    if min(values) > column.error and min(values) >= most / 2:
        return "at-all-heights"
    peak_height = next(height for height, value in column.points if value == most)
    if peak_height > base_zone_mm and most > lowest + column.error:
        return "highest-above-base"
    if lowest >= most - column.error and top < most / 2:
        return "falls-from-base"
    return None
