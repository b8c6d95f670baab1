"""Two case files on one house set side by side: what they record differently, and what only one of them records.

Places are paired by id; where a single one is left over on each side, the two are taken for the same place.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeVar

from engine.case.base import Model
from engine.case.models import Area, Case, Fact, Instrument, Reading, Surface, Visit

DATA = ("samples", "air", "surface_temperatures", "timber", "loggers")
"""What else an area holds that was measured; compared as a whole."""
BEYOND_NOISE = 2.0
"""Standard deviations apart from which two readings differ beyond noise: one pair in twenty does by chance."""

Part = TypeVar("Part", Area, Surface, Visit)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something is recorded: scope, and the ids of area and surface in the first and in the second file."""

    scope: Literal["dwelling", "visit", "area", "surface"]
    areas: tuple[str, str] = ("", "")
    parts: tuple[str, str] = ("", "")
    title: str = ""


@dataclass(frozen=True, slots=True)
class FactDifference:
    """One attribute at one place: what the first and the second file say; None where a file does not say."""

    spot: Spot
    attribute: str
    kind: Literal["value", "basis", "only-first", "only-second"]
    first: Fact | None
    second: Fact | None


@dataclass(frozen=True, slots=True)
class ReadingDifference:
    """Two readings at one place of a surface, in one mode and on one scale, apart by more than presses scatter."""

    x_mm: float
    y_mm: float
    depth_mm: float
    mode: str
    first: float
    second: float
    standard_deviations: float


@dataclass(frozen=True, slots=True)
class DataDifference:
    """Measured data of one kind at one place that are not the same in both files.

    ``counts`` of entries; for readings ``compared`` says how many pairs stood at one place, and ``apart`` which of
    these differ beyond noise.
    """

    spot: Spot
    kind: str
    counts: tuple[int, int]
    compared: int = 0
    apart: tuple[ReadingDifference, ...] = ()


@dataclass(frozen=True, slots=True)
class Differences:
    """All that two files record differently.

    ``areas`` are the pairs of areas taken for the same (ids); ``unpaired`` areas and surfaces stand in one file only
    (title, which).
    """

    areas: tuple[tuple[str, str], ...]
    facts: tuple[FactDifference, ...]
    data: tuple[DataDifference, ...]
    unpaired: tuple[tuple[str, Literal["first", "second"]], ...]


def compare(first: Case, second: Case, parameters: Mapping[str, float]) -> Differences:
    """The differences of two cases; ``parameters`` give the spread of presses and what counts as one place [mm]."""
    facts = list(
        _facts(Spot("dwelling", title="the dwelling"), first.dwelling.facts, second.dwelling.facts, first, second)
    )
    data: list[DataDifference] = []
    pairs: list[tuple[str, str]] = []
    unpaired: list[tuple[str, Literal["first", "second"]]] = []
    for one, other in _paired(first.visits, second.visits):
        if one and other:
            spot = Spot("visit", parts=(one.id, other.id), title=f"visit {one.id}")
            facts += _facts(spot, one.facts, other.facts, first, second)
    for area, twin in _paired(first.areas, second.areas):
        if area is None or twin is None:
            unpaired.append(_alone(area, twin))
            continue
        pairs.append((area.id, twin.id))
        spot = Spot("area", (area.id, twin.id), title=area.title)
        facts += _facts(spot, area.facts, twin.facts, first, second)
        data += _data(spot, area, twin)
        for surface, like in _paired(area.surfaces, twin.surfaces):
            if surface is None or like is None:
                unpaired.append(_alone(surface, like))
                continue
            title = f"{area.title}, {surface.title or surface.id}"
            spot = Spot("surface", (area.id, twin.id), (surface.id, like.id), title)
            facts += _facts(spot, surface.facts, like.facts, first, second)
            data += _readings(spot, surface, like, (first, second), parameters)
    return Differences(tuple(pairs), tuple(facts), tuple(data), tuple(unpaired))


def _paired(one: Sequence[Part], other: Sequence[Part]) -> Iterator[tuple[Part | None, Part | None]]:
    twins = {part.id: part for part in other}
    left = [part for part in one if part.id not in twins]
    right = [part for part in other if part.id not in {part.id for part in one}]
    for part in one:
        if part.id in twins:
            yield part, twins[part.id]
    if len(left) == len(right) == 1:
        yield left[0], right[0]
    else:
        yield from ((part, None) for part in left)
        yield from ((None, part) for part in right)


def _alone(one: Area | Surface | None, other: Area | Surface | None) -> tuple[str, Literal["first", "second"]]:
    part = one or other
    assert part is not None  # noqa: S101 - a pair has at least one side
    return part.title or part.id, "first" if one else "second"


def _facts(
    spot: Spot, one: Iterable[Fact], other: Iterable[Fact], first: Case, second: Case
) -> Iterator[FactDifference]:
    """The differing facts of one place, by attribute; of several visits the latest counts, and *unknown* as unsaid."""
    said, answered = _latest(one, first), _latest(other, second)
    for name in sorted({*said, *answered}):
        fact, twin = said.get(name), answered.get(name)
        if fact is None:
            yield FactDifference(spot, name, "only-second", None, twin)
        elif twin is None:
            yield FactDifference(spot, name, "only-first", fact, None)
        elif fact.value != twin.value:
            yield FactDifference(spot, name, "value", fact, twin)
        elif (fact.basis, fact.sureness) != (twin.basis, twin.sureness):
            yield FactDifference(spot, name, "basis", fact, twin)


def _latest(facts: Iterable[Fact], case: Case) -> dict[str, Fact]:
    days = {visit.id: visit.on for visit in case.visits}
    ordered = sorted(facts, key=lambda fact: days.get(fact.visit or "", date.min))
    found = {fact.attribute: fact for fact in ordered}
    return {name: fact for name, fact in found.items() if fact.value != "unknown"}


def _data(spot: Spot, area: Area, twin: Area) -> Iterator[DataDifference]:
    for kind in DATA:
        one, other = getattr(area, kind), getattr(twin, kind)
        if sorted(map(_bare, one)) != sorted(map(_bare, other)):
            yield DataDifference(spot, kind, (len(one), len(other)))


def _bare(entry: Model) -> str:
    """An entry without the names that each file gives by itself."""
    return entry.model_dump_json(exclude={"id", "visit", "instrument", "note"}, exclude_defaults=True)


def _readings(
    spot: Spot, surface: Surface, like: Surface, cases: tuple[Case, Case], parameters: Mapping[str, float]
) -> Iterator[DataDifference]:
    """The readings of a surface where they are not the same, with the pairs that lie apart beyond noise."""
    one, other = surface.readings, like.readings
    references = (surface.dry_references, like.dry_references)
    if [sorted(map(_bare, group)) for group in (one, references[0])] == [
        sorted(map(_bare, group)) for group in (other, references[1])
    ]:
        return
    compared, apart, taken = 0, [], set[int]()
    for reading in one:
        place = _nearest(reading, other, cases, taken, parameters["same-place-radius"])
        if place is None:
            continue
        taken.add(place)
        compared += 1
        tools = _instrument(reading, cases[0]), _instrument(other[place], cases[1])
        spread = math.hypot(*(_noise(*pair, parameters) for pair in zip((reading, other[place]), tools, strict=True)))
        values = _value(reading), _value(other[place])
        if tools[0] and abs(values[0] - values[1]) > BEYOND_NOISE * spread:
            count = abs(values[0] - values[1]) / spread if spread else math.inf
            apart.append(ReadingDifference(reading.x_mm, reading.y_mm, reading.depth_mm, tools[0].mode, *values, count))
    yield DataDifference(spot, "readings", (len(one), len(other)), compared, tuple(apart))


def _nearest(
    reading: Reading, others: Sequence[Reading], cases: tuple[Case, Case], taken: set[int], radius: float
) -> int | None:
    """The nearest reading not yet paired at the same place, depth, mode and scale."""
    tool = _instrument(reading, cases[0])
    found = [
        (math.hypot(reading.x_mm - other.x_mm, reading.y_mm - other.y_mm), i)
        for i, other in enumerate(others)
        if i not in taken and other.depth_mm == reading.depth_mm and _alike(tool, _instrument(other, cases[1]))
    ]
    return min(found)[1] if found and min(found)[0] <= radius else None


def _alike(one: Instrument | None, other: Instrument | None) -> bool:
    if one is None or other is None:
        return False
    return (one.mode, one.scale, one.full_scale) == (other.mode, other.scale, other.full_scale)


def _instrument(reading: Reading, case: Case) -> Instrument | None:
    visits = [visit for visit in case.visits if reading.visit in (None, visit.id)]
    return next((tool for visit in visits for tool in visit.instruments if tool.id == reading.instrument), None)


def _value(reading: Reading) -> float:
    presses = sorted((reading.value, *reading.repeats))
    middle = len(presses) // 2
    return presses[middle] if len(presses) % 2 else (presses[middle - 1] + presses[middle]) / 2


def _noise(reading: Reading, tool: Instrument | None, parameters: Mapping[str, float]) -> float:
    """Standard deviation of a place's value: the scatter of presses, and half the instrument's stated tolerance."""
    scatter = parameters["press-spread"] * _value(reading) / math.sqrt(1 + len(reading.repeats))
    return math.hypot(scatter, (tool.tolerance or 0.0) / 2 if tool else 0.0)
