"""The parts of a case as written, before it is known to be sound: what each check walks over.

The checks run on the written data, so that every fault of a file is found at once, also beside a part that
breaks the format. A part that is not of the right kind is simply not there: the format's own check names it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from engine.documents import Document, FieldPath
from engine.errors import Problem, nearest

LISTED = 200
"""Faults listed of one case; more are counted only."""

_READ_WITH = ("readings", "dry_references")
_MEASURED = ("air", "surface_temperatures", "samples", "timber")


@dataclass(frozen=True, slots=True)
class Part:
    """One mapping of the file and where it stands."""

    path: FieldPath
    data: Mapping[str, Any]

    def text(self, name: str) -> str | None:
        """A field's text, if it is text."""
        value = self.data.get(name)
        return value if isinstance(value, str) else None

    def number(self, name: str) -> float | None:
        """A field's number, if it is a number."""
        value = self.data.get(name)
        return value if isinstance(value, (int, float)) and not isinstance(value, bool) else None

    def part(self, name: str) -> Part | None:
        """A field that is a mapping."""
        value = self.data.get(name)
        return Part((*self.path, name), value) if isinstance(value, dict) else None

    def parts(self, name: str) -> Iterator[Part]:
        """The mappings of a field that is a list."""
        for path, value in self._items(name):
            if isinstance(value, dict):
                yield Part(path, value)

    def texts(self, name: str) -> Iterator[tuple[FieldPath, str]]:
        """The texts of a field that is a list, with their places."""
        for path, value in self._items(name):
            if isinstance(value, str):
                yield path, value

    def numbers(self, *names: str) -> Iterator[tuple[FieldPath, float]]:
        """The numbers among some fields and in those of them that are lists, with their places."""
        for name in names:
            value = self.number(name)
            if value is not None:
                yield (*self.path, name), value
            for path, item in self._items(name):
                if isinstance(item, (int, float)) and not isinstance(item, bool):
                    yield path, item

    def at(self, *names: str | int) -> FieldPath:
        """The path of a field of this part."""
        return (*self.path, *names)

    def _items(self, name: str) -> Iterator[tuple[FieldPath, Any]]:
        value = self.data.get(name)
        if isinstance(value, list):
            for position, item in enumerate(value):
                yield (*self.path, name, position), item


@dataclass(slots=True)
class Faults:
    """The faults found so far; a place whose form is already at fault is not complained of twice."""

    document: Document
    problems: list[Problem] = field(default_factory=list)
    places: set[FieldPath] = field(default_factory=set)
    unlisted: int = 0

    def add(
        self,
        path: FieldPath,
        found: str,
        allowed: str,
        advice: str = "",
        *,
        near: str = "",
        names: Iterable[str] = (),
        form: bool = False,
    ) -> None:
        """Record a fault at a path; the nearest of ``names`` to ``near`` is suggested; ``form`` closes the place."""
        if any(path[:end] in self.places for end in range(1, len(path) + 1)):
            return
        if form:
            self.places.add(path)
        if len(self.problems) >= LISTED:
            self.unlisted += 1
            return
        close = nearest(near[:80], names) if near else None
        self.problems.append(self.document.problem(path, found, allowed, advice, close))

    def all(self) -> list[Problem]:
        """The faults to be told, with the number of those that are not listed."""
        if not self.unlisted:
            return self.problems
        found = f"{self.unlisted} more faults that are not listed"
        return [*self.problems, Problem(self.document.name, None, "", found, "", "mend those listed first")]


class Written:
    """A case as written: its visits, instruments and areas, by id where ids can be read."""

    def __init__(self, document: Document) -> None:
        self.root = Part((), document.data)

    @cached_property
    def visits(self) -> dict[str, Part]:
        """The visits by id."""
        return by_id(self.root.parts("visits"))

    @cached_property
    def areas(self) -> tuple[Part, ...]:
        """The areas as listed."""
        return tuple(self.root.parts("areas"))

    @cached_property
    def instruments(self) -> dict[str, dict[str, Part]]:
        """The instruments of each visit, by the ids of both."""
        return {visit: by_id(part.parts("instruments")) for visit, part in self.visits.items()}

    def visit_of(self, part: Part) -> str | None:
        """The visit to which something belongs: the one it names, or the only one."""
        if "visit" in part.data:
            named = part.text("visit")
            return named if named in self.visits else None
        return next(iter(self.visits)) if len(self.visits) == 1 else None

    def instrument_of(self, part: Part) -> Part | None:
        """The instrument that something names, among those of its visit."""
        visit, name = self.visit_of(part), part.text("instrument")
        return self.instruments[visit].get(name) if visit is not None and name is not None else None

    def electrical(self) -> Iterator[tuple[Part, Part]]:
        """Each reading and dry reference with its surface."""
        for area in self.areas:
            for surface in area.parts("surfaces"):
                for name in _READ_WITH:
                    for part in surface.parts(name):
                        yield surface, part

    def measured(self) -> Iterator[Part]:
        """Everything that was measured on a visit."""
        for _, part in self.electrical():
            yield part
        for area in self.areas:
            for name in _MEASURED:
                yield from area.parts(name)

    def facts(self) -> Iterator[tuple[str, Part, Part]]:
        """Each fact with the kind of place at which it stands and that place."""
        dwelling = self.root.part("dwelling")
        places = [("dwelling", dwelling)] if dwelling else []
        places += [("visit", visit) for visit in self.root.parts("visits")]
        for area in self.areas:
            places.append(("area", area))
            places += [("surface", surface) for surface in area.parts("surfaces")]
        for kind, place in places:
            for fact in place.parts("facts"):
                yield kind, place, fact


def by_id(parts: Iterable[Part]) -> dict[str, Part]:
    """Parts by their ids; of two with the same id the first."""
    found: dict[str, Part] = {}
    for part in parts:
        name = part.text("id")
        if name is not None:
            found.setdefault(name, part)
    return found
