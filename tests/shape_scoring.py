"""Scores the naming of shapes against made-up walls whose truth is known; shared by the short and the long form."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from engine.measures import measure
from engine.synthesis import MadeWall, make_walls

NO_SHAPE = "no shape"
SHAPES = ("base-high-falling", "crest-over-drier-base", "patch", "top-down", "even", "streak", "none")
NOT_NAMEABLE = ("not nameable, one mechanism", "not nameable, two mechanisms", "metal")


def named(wall: MadeWall, parameters: Mapping[str, float]) -> str:
    """The shape that the measures name, or that they name none."""
    case = wall.case()
    facts = {fact.attribute: fact.value for fact in measure(case, case.areas[0], parameters).facts}
    return str(facts.get("wall-shape", NO_SHAPE))


def row_of(wall: MadeWall) -> str:
    """The row of the table that a wall belongs to: the shape to be named, else why none can be."""
    if wall.nameable is not None:
        return wall.nameable
    if wall.mechanisms == ("metal-bead",):
        return NOT_NAMEABLE[2]
    return NOT_NAMEABLE[len(wall.mechanisms) - 1]


@dataclass
class Score:
    """Counts by row and by the name given; ``wrong`` lists the walls given a name that is not allowed.

    ``halves`` counts walls on which two different shapes show something and one of the two was named: true of one
    mechanism, silent about the other, and not counted as wrong.
    """

    table: dict[str, Counter[str]] = field(default_factory=dict)
    wrong: list[tuple[int, tuple[str, ...], str | None, str]] = field(default_factory=list)
    missed: list[tuple[int, tuple[str, ...], str]] = field(default_factory=list)
    halves: int = 0
    walls: int = 0

    def add(self, wall: MadeWall, name: str) -> None:
        """Count one wall and the name that it was given."""
        self.walls += 1
        self.table.setdefault(row_of(wall), Counter())[name] += 1
        if name != NO_SHAPE and name not in wall.allowed:
            self.wrong.append((wall.seed, wall.mechanisms, wall.nameable, name))
        if wall.nameable is None and len(wall.shapes) == 2 and name in wall.shapes and wall.allowed >= {*wall.shapes}:
            self.halves += 1
        if wall.nameable is not None and name == NO_SHAPE:
            self.missed.append((wall.seed, wall.mechanisms, wall.nameable))

    def recall(self, shape: str) -> float:
        """Share of the walls that show the shape to which it is given; 1 where there are none."""
        counts = self.table.get(shape, Counter())
        return counts[shape] / counts.total() if counts else 1.0

    @property
    def wrong_share(self) -> float:
        """Share of all walls that are given a name that is not allowed."""
        return len(self.wrong) / self.walls

    def text(self) -> str:
        """The confusion table, with recall, and the share of wrong names."""
        names = (*SHAPES, NO_SHAPE)
        head = " " * 30 + "".join(f"{name[:9]:>10}" for name in names) + "    recall"
        lines = [head]
        for row in (*SHAPES, *NOT_NAMEABLE):
            counts = self.table.get(row, Counter())
            recall = f"{100 * self.recall(row):8.1f} %" if row in SHAPES else ""
            lines.append(f"{row:30}" + "".join(f"{counts[name]:10}" for name in names) + recall)
        lines.append(f"{self.walls} walls, {len(self.wrong)} given a wrong name ({100 * self.wrong_share:.1f} %)")
        lines.append(f"{self.halves} walls of two shapes given one of the two ({100 * self.halves / self.walls:.1f} %)")
        return "\n".join(lines)


def score(walls: Iterable[MadeWall], parameters: Mapping[str, float]) -> Score:
    """The score of the measures on made-up walls."""
    result = Score()
    for wall in walls:
        result.add(wall, named(wall, parameters))
    return result


def score_range(first_seed: int, count: int, parameters: Mapping[str, float]) -> Score:
    """The score on walls of consecutive seeds, drawn in the generator's own shares."""
    return score(make_walls(first_seed, count), parameters)
