"""Where a condition holds, as sets of facts: exact, so that conditions can be compared without running them.

Every attribute can be in finitely many *cells*: not known, not applicable, each of its words; for a number,
the points at which some test changes its answer and the stretches between them. A box says for some attributes
in which cells they may be; a region is a union of boxes. Holding and failing follow Kleene's strong logic as in
`engine.inference.conditions`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from engine.inference.conditions import All, Any, Condition, Not, Test, passes, tests
from engine.inference.facts import NOT_APPLICABLE, Value
from engine.rulebook.checks.inspection import Term

Box = Mapping[str, int]
"""Per attribute the cells in which it may be, as bits; an attribute that is not named may be in any."""
Region = tuple[Box, ...]

UNKNOWN_CELL = 1
"""The bit of the cell *not known*."""
MOST_BOXES = 2_000
"""A region of more boxes than this is not compared."""


class TooManyBoxes(Exception):
    """A condition has too many alternatives to be compared."""


class Space:
    """The cells of every attribute that some bound condition tests."""

    def __init__(self, conditions: Iterable[Condition], terms: Mapping[str, Term]) -> None:
        points: dict[str, set[float]] = {}
        words: dict[str, set[str]] = {}
        for condition in conditions:
            for test in tests(condition):
                for value in test.operand:
                    if isinstance(value, str):
                        words.setdefault(test.attribute, set()).add(value)
                    elif value is not None:
                        points.setdefault(test.attribute, set()).add(float(value))
        self._points = points
        self._words = words
        self._terms = terms
        self._values: dict[str, tuple[Value | None, ...]] = {}

    def values(self, attribute: str) -> tuple[Value | None, ...]:
        """One value for each cell of an attribute, None for *not known*; the order is that of the bits."""
        if attribute not in self._values:
            term = self._terms.get(attribute)
            if term is not None and term.words:
                own: list[Value] = list(term.words)
            elif term is None and attribute in self._words:
                own = sorted(self._words[attribute])
            else:
                own = list(_stretches(sorted(self._points.get(attribute, ())), term))
            self._values[attribute] = (None, NOT_APPLICABLE, *own)
        return self._values[attribute]

    def holds(self, condition: Condition) -> Region:
        """Where a bound condition holds; TooManyBoxes when it has too many alternatives."""
        return self._region(condition, True)

    def cells(self, test: Test, holding: bool) -> int:
        """The cells in which a test holds, or fails."""
        bits = 0
        for number, value in enumerate(self.values(test.attribute)):
            if test.operator in ("known", "unknown"):
                answer: bool | None = (value is None) == (test.operator == "unknown")
            else:
                answer = None if value is None else passes(test, value)
            if answer is holding:
                bits |= 1 << number
        return bits

    def cell(self, attribute: str, value: Value) -> int:
        """The bit of the cell of one word; 0 when the attribute has no such word."""
        values = self.values(attribute)
        return 1 << values.index(value) if value in values else 0

    def all_cells(self, attribute: str) -> int:
        """The bits of every cell of an attribute."""
        return (1 << len(self.values(attribute))) - 1

    def within(self, one: Region, other: Region) -> bool:
        """Whether one region lies wholly inside another; TooManyBoxes when that takes too long to say."""
        return all(self._covered(box, other) for box in one)

    def _covered(self, box: Box, region: Region) -> bool:
        left: Region = (box,)
        for other in region:
            left = _bounded([rest for part in left for rest in self._without(part, other)])
            if not left:
                return True
        return False

    def _without(self, box: Box, other: Box) -> Iterator[Box]:
        """The parts of a box that lie outside another."""
        if _meet(box, other) is None:
            yield box
            return
        inside = dict(box)
        for attribute, bits in other.items():
            here = inside.get(attribute, self.all_cells(attribute))
            if here & ~bits:
                yield {**inside, attribute: here & ~bits}
            inside[attribute] = here & bits

    def _region(self, condition: Condition, holding: bool) -> Region:
        match condition:
            case Test():
                bits = self.cells(condition, holding)
                return ({condition.attribute: bits},) if bits else ()
            case Not(member):
                return self._region(member, not holding)
            case All(members) | Any(members):
                parts = [self._region(member, holding) for member in members]
                if isinstance(condition, All) is holding:
                    return _product(parts)
                return _bounded([box for part in parts for box in part])


def _stretches(points: list[float], term: Term | None) -> Iterator[float]:
    """One value below, at, between and above the points, so far as the attribute's range allows."""
    low = term.minimum if term is not None and term.minimum is not None else -float("inf")
    high = term.maximum if term is not None and term.maximum is not None else float("inf")
    inner = [point for point in points if low <= point <= high]
    edges = [low, *inner, high]
    for number, (left, right) in enumerate(pairwise(edges)):
        if number:
            yield left
        if left < right:
            yield _between(left, right)


def _between(left: float, right: float) -> float:
    if left == -float("inf"):
        return right - 1.0 if right < float("inf") else 0.0
    return left + 1.0 if right == float("inf") else (left + right) / 2


def _bounded(boxes: list[Box]) -> Region:
    if len(boxes) > MOST_BOXES:
        raise TooManyBoxes
    return tuple(boxes)


def _product(parts: list[Region]) -> Region:
    boxes: list[Box] = [{}]
    for part in parts:
        boxes = list(_bounded([met for box in boxes for other in part if (met := _meet(box, other)) is not None]))
    return tuple(boxes)


def _meet(one: Box, other: Box) -> Box | None:
    """What two boxes share; None when they share nothing."""
    shared = dict(one)
    for attribute, bits in other.items():
        shared[attribute] = shared.get(attribute, bits) & bits
        if not shared[attribute]:
            return None
    return shared
