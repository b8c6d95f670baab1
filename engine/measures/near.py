"""Finding things again by where they are on a surface."""

from __future__ import annotations

import math
from typing import Generic, TypeVar

Item = TypeVar("Item")


class Near(Generic[Item]):
    """Things found again by place: squares of six times the radius, so that a search looks at one or two of them."""

    def __init__(self, radius_mm: float) -> None:
        self.radius = radius_mm
        self._side = 6 * radius_mm
        self._squares: dict[tuple[int, int], list[tuple[float, float, Item]]] = {}

    def add(self, x_mm: float, y_mm: float, item: Item) -> None:
        """Put a thing at a place."""
        square = (math.floor(x_mm / self._side), math.floor(y_mm / self._side))
        self._squares.setdefault(square, []).append((x_mm, y_mm, item))

    def within(self, x_mm: float, y_mm: float) -> list[tuple[float, Item]]:
        """The things within the radius with their distances [mm]: square by square, each in the order they were put."""
        side, radius = self._side, self.radius
        columns = range(math.floor((x_mm - radius) / side), math.floor((x_mm + radius) / side) + 1)
        rows = range(math.floor((y_mm - radius) / side), math.floor((y_mm + radius) / side) + 1)
        return [
            (distance, item)
            for i in columns
            for j in rows
            for x, y, item in self._squares.get((i, j), ())
            if (distance := math.hypot(x - x_mm, y - y_mm)) <= radius
        ]

    def first(self, x_mm: float, y_mm: float) -> Item | None:
        """The nearest thing within the radius, or None."""
        found = self.within(x_mm, y_mm)
        return min(found, key=lambda pair: pair[0])[1] if found else None
