"""Where things go, so that nothing lies on anything else; lengths in points of 1/72 inch unless said otherwise."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from cli.report.text import shown

LETTER = 0.62
"""Mean width of a letter or figure of the typeface, in type sizes."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle by its centre and its size."""

    x: float
    y: float
    wide: float
    tall: float

    def meets(self, other: Box) -> bool:
        """Whether the two share any ground."""
        return abs(self.x - other.x) * 2 < self.wide + other.wide and abs(self.y - other.y) * 2 < self.tall + other.tall


class Ground:
    """Boxes that are laid down, found again by squares so that many are no burden."""

    def __init__(self, side: float) -> None:
        self._side = side
        self._squares: dict[tuple[int, int], list[Box]] = {}

    def free(self, box: Box) -> bool:
        """Whether a box meets none of those laid."""
        return not any(box.meets(other) for square in self._under(box) for other in self._squares.get(square, ()))

    def lay(self, box: Box) -> None:
        """Lay a box down."""
        for square in self._under(box):
            self._squares.setdefault(square, []).append(box)

    def _under(self, box: Box) -> Iterable[tuple[int, int]]:
        left, right = math.floor((box.x - box.wide / 2) / self._side), math.floor((box.x + box.wide / 2) / self._side)
        low, high = math.floor((box.y - box.tall / 2) / self._side), math.floor((box.y + box.tall / 2) / self._side)
        return ((i, j) for i in range(left, right + 1) for j in range(low, high + 1))


def text_width(text: str, size: float) -> float:
    """How wide a line of text is, about."""
    return LETTER * size * len(text)


def spread(wanted: Sequence[float], apart: float, least: float, greatest: float) -> list[float]:
    """Places as near those wanted as need be, ``apart`` or more from one another, in the same order.

    Kept within ``least`` and ``greatest``; closer together where there is no room for all.
    """
    if len(wanted) > 1:
        apart = min(apart, (greatest - least) / (len(wanted) - 1))
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    places: list[float] = []
    for number in order:
        places.append(max(wanted[number], places[-1] + apart if places else least))
    ceiling = greatest
    for rank in reversed(range(len(places))):
        places[rank] = min(places[rank], ceiling)
        ceiling = places[rank] - apart
    found = dict(zip(order, places, strict=True))
    return [found[number] for number in range(len(wanted))]


def wrapped(text: str, letters: int, lines: int = 3) -> str:
    """Text in lines of so many letters at most, and no more than so many lines; what is cut ends in dots."""
    return "\n".join(textwrap.wrap(shown(text), letters, max_lines=lines, placeholder=" …") or [""])


def steps(low: float, high: float, most: int) -> list[float]:
    """Round values from ``low`` to ``high``, at most so many: steps of 1, 2, 2.5 or 5 times a power of ten."""
    width = high - low
    if width <= 0:
        return [low]
    power = 10.0 ** math.floor(math.log10(width / most))
    step = next(power * factor for factor in (1, 2, 2.5, 5, 10, 20) if width / (power * factor) <= most)
    first = math.ceil(low / step - 1e-9)
    return [n * step for n in range(first, math.floor(high / step + 1e-9) + 1)]
