"""One difference between two cases put into the first, everything else left as it is."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from engine.case.models import Area, Case, Fact, Surface
from engine.challenging.comparing import DataDifference, FactDifference

SECOND = "second-"
"""What a visit of the second case is called before its own id, beside those of the first."""


def with_fact(first: Case, difference: FactDifference) -> Case:
    """The first case with what the second says of one attribute at one place; nothing, where it says nothing."""
    spot, fact = difference.spot, difference.second

    def changed(part: Any) -> Any:
        kept = tuple(old for old in part.facts if old.attribute != difference.attribute)
        return part.model_copy(update={"facts": (*kept, *_undated(fact))})

    if spot.scope == "dwelling":
        return first.model_copy(update={"dwelling": changed(first.dwelling)})
    if spot.scope == "visit":
        visits = tuple(changed(visit) if visit.id == spot.parts[0] else visit for visit in first.visits)
        return first.model_copy(update={"visits": visits})
    area = area_of(first, spot.areas[0])
    if spot.scope == "area":
        return _with_area(first, changed(area))
    return _with_area(first, _with_surface(area, changed(_surface(area, spot.parts[0]))))


def with_data(first: Case, second: Case, difference: DataDifference) -> Case:
    """The first case with the second's measured data of one kind at one place, and the visits that they belong to.

    Of the second's visits their instruments and outside air come along, not their facts. Where an entry names a surface
    that the first case has not, it keeps its place in the area alone.
    """
    spot, kind = difference.spot, difference.kind
    case, other = visits_named(first), visits_named(second, SECOND)
    known = {visit.id for visit in case.visits}
    added = tuple(visit.model_copy(update={"facts": ()}) for visit in other.visits if visit.id not in known)
    case = case.model_copy(update={"visits": (*case.visits, *added)})
    area, twin = area_of(case, spot.areas[0]), area_of(other, spot.areas[1])
    if kind != "readings":
        surfaces = {surface.id for surface in area.surfaces}
        entries = tuple(_placed(entry, surfaces) for entry in getattr(twin, kind))
        return _with_area(case, area.model_copy(update={kind: entries}))
    surface, like = _surface(area, spot.parts[0]), _surface(twin, spot.parts[1])
    update = {"readings": like.readings, "dry_references": like.dry_references}
    return _with_area(case, _with_surface(area, surface.model_copy(update=update)))


def visits_named(case: Case, before: str = "") -> Case:
    """A case whose only visit is named wherever it was left out, every visit's id with ``before`` set before it."""
    data = case.model_dump(mode="json")
    only = data["visits"][0]["id"] if len(data["visits"]) == 1 else None

    def name(value: Any) -> None:
        if isinstance(value, dict):
            visit = value.get("visit") or (only if "visit" in value else None)
            if visit:
                value["visit"] = before + visit
            value = list(value.values())
        if isinstance(value, list):
            for item in value:
                name(item)

    name([data["dwelling"], data["visits"], data["areas"]])
    for visit in data["visits"]:
        visit["id"] = before + visit["id"]
    return Case.model_validate_json(json.dumps(data))


def area_of(case: Case, name: str) -> Area:
    """The area of that id."""
    return next(area for area in case.areas if area.id == name)


def _undated(fact: Fact | None) -> Iterable[Fact]:
    return () if fact is None else (fact.model_copy(update={"visit": None}),)


def _placed(entry: Any, known: set[str]) -> Any:
    named = getattr(entry, "surface", None)
    return entry.model_copy(update={"surface": None}) if named and named not in known else entry


def _surface(area: Area, name: str) -> Surface:
    return next(surface for surface in area.surfaces if surface.id == name)


def _with_surface(area: Area, surface: Surface) -> Area:
    surfaces = tuple(surface if old.id == surface.id else old for old in area.surfaces)
    return area.model_copy(update={"surfaces": surfaces})


def _with_area(case: Case, area: Area) -> Case:
    return case.model_copy(update={"areas": tuple(area if old.id == area.id else old for old in case.areas)})
