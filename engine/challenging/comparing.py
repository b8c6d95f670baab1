"""Two case files on one house set side by side: what they record differently, and what only one of them records.

Places are paired by id; where a single one is left over on each side, the two are taken for the same place. Measured
data are set beside their noise (`engine.challenging.scatter`): what scatter alone would do is marked as no difference.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeVar

from engine.case.base import Model
from engine.case.models import Area, Case, DryReference, Fact, Reading, Surface, Visit
from engine.challenging.scatter import Entry, Scatter, beyond_noise, deviations, single_limit, value_of

DATA = ("samples", "air", "surface_temperatures", "timber", "loggers")
"""What else an area holds that was measured; compared as a whole."""
NUMBERS = {"temperature_c", "humidity_percent", "value", "repeats", "wet_g", "conditioned_g", "dry_g", "tolerance_k"}
"""The fields that hold what was measured, and with what error."""
NAMES = {"id", "visit", "instrument", "note", "surface", "x_mm", "y_mm"}
"""The fields that each file gives by itself, and the place, which is compared by distance."""

Part = TypeVar("Part", Area, Surface, Visit)
Measured = TypeVar("Measured", bound=Entry)


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

    ``counts`` of entries; ``compared`` says how many pairs stood at one place, and ``apart`` which readings of these
    differ beyond noise. ``within_noise`` when every entry has its twin and all differ by no more than noise: then it is
    no difference at all.
    """

    spot: Spot
    kind: str
    counts: tuple[int, int]
    compared: int = 0
    apart: tuple[ReadingDifference, ...] = ()
    within_noise: bool = False


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
    """The differences of two cases; ``parameters`` are the rule base's: noise, and what counts as one place [mm]."""
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
        scatters = Scatter(first, area, parameters), Scatter(second, twin, parameters)
        data += _data(spot, area, twin, scatters, parameters["same-place-radius"])
        for surface, like in _paired(area.surfaces, twin.surfaces):
            if surface is None or like is None:
                unpaired.append(_alone(surface, like))
                continue
            title = f"{area.title}, {surface.title or surface.id}"
            spot = Spot("surface", (area.id, twin.id), (surface.id, like.id), title)
            facts += _facts(spot, surface.facts, like.facts, first, second)
            data += _readings(spot, surface, like, scatters, parameters["same-place-radius"])
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


def _data(
    spot: Spot, area: Area, twin: Area, scatters: tuple[Scatter, Scatter], radius: float
) -> Iterator[DataDifference]:
    for kind in DATA:
        one, other = getattr(area, kind), getattr(twin, kind)
        if _alike(one, other):
            continue
        if kind == "loggers":
            yield DataDifference(spot, kind, (len(one), len(other)))
            continue
        pairs = _twins(one, other, _same_thing, radius)
        found = [each for entry, like in pairs for each in deviations(entry, like, scatters)]
        noise = _whole(pairs, one, other) and not beyond_noise(found)
        yield DataDifference(spot, kind, (len(one), len(other)), len(pairs), within_noise=noise)


def _alike(one: Iterable[Model], other: Iterable[Model]) -> bool:
    return sorted(map(_bare, one)) == sorted(map(_bare, other))


def _whole(pairs: Sequence[object], one: Sequence[object], other: Sequence[object]) -> bool:
    """Whether every entry of both sides has its twin."""
    return len(pairs) == len(one) == len(other)


def _bare(entry: Model) -> str:
    """An entry without the names that each file gives by itself."""
    return entry.model_dump_json(exclude={"id", "visit", "instrument", "note"}, exclude_defaults=True)


def _same_thing(one: Entry, other: Entry) -> bool:
    """Whether two entries are of one thing: alike in all but what is measured, where exactly, and by which name."""
    return bool(one.model_dump(exclude=NUMBERS | NAMES) == other.model_dump(exclude=NUMBERS | NAMES))


def _readings(
    spot: Spot, surface: Surface, like: Surface, scatters: tuple[Scatter, Scatter], radius: float
) -> Iterator[DataDifference]:
    """The readings of a surface where they are not the same, with the pairs that lie apart beyond noise."""
    if _alike(surface.readings, like.readings) and _alike(surface.dry_references, like.dry_references):
        return

    def same_scale(one: Reading | DryReference, other: Reading | DryReference) -> bool:
        tools = scatters[0].instrument(one), scatters[1].instrument(other)
        scales = [(tool.mode, tool.scale, tool.full_scale) for tool in tools if tool is not None]
        return len(scales) == 2 and scales[0] == scales[1]

    def same_place(one: Reading, other: Reading) -> bool:
        return one.depth_mm == other.depth_mm and same_scale(one, other)

    def same_material(one: DryReference, other: DryReference) -> bool:
        return one.material == other.material and same_scale(one, other)

    pairs = _twins(surface.readings, like.readings, same_place, radius)
    references = _twins(surface.dry_references, like.dry_references, same_material, radius)
    found = [deviations(one, other, scatters)[0] for one, other in pairs]
    limit = single_limit(max(len(pairs), 1))
    apart = tuple(
        ReadingDifference(
            one.x_mm, one.y_mm, one.depth_mm, _mode(scatters[0], one), value_of(one), value_of(other), deviation
        )
        for (one, other), deviation in zip(pairs, found, strict=True)
        if deviation > limit
    )
    whole = _whole(pairs, surface.readings, like.readings) and _whole(
        references, surface.dry_references, like.dry_references
    )
    found += [deviations(one, other, scatters)[0] for one, other in references]
    yield DataDifference(
        spot,
        "readings",
        (len(surface.readings), len(like.readings)),
        len(pairs),
        apart,
        whole and not apart and not beyond_noise(found),
    )


def _mode(scatter: Scatter, reading: Reading) -> str:
    tool = scatter.instrument(reading)
    return tool.mode if tool else ""


def _twins(
    one: Sequence[Measured], others: Sequence[Measured], alike: Callable[[Measured, Measured], bool], radius: float
) -> list[tuple[Measured, Measured]]:
    """Each entry with the nearest like entry not yet paired, within a radius [mm]."""
    pairs, taken = list[tuple[Measured, Measured]](), set[int]()
    for entry in one:
        near = [
            (distance, i)
            for i, other in enumerate(others)
            if i not in taken and (distance := _distance(entry, other)) <= radius and alike(entry, other)
        ]
        if near:
            taken.add(min(near)[1])
            pairs.append((entry, others[min(near)[1]]))
    return pairs


def _distance(one: Entry, other: Entry) -> float:
    """How far apart two entries lie [mm]: 0 where neither is placed, infinite where only one is."""
    places = [(getattr(entry, "x_mm", None), getattr(entry, "y_mm", None)) for entry in (one, other)]
    (x, y), (to_x, to_y) = places
    if x is None or y is None or to_x is None or to_y is None:
        return 0.0 if places[0] == places[1] else math.inf
    return math.hypot(x - to_x, y - to_y)
