"""Whether every name in a case stands for exactly one thing: ids, visits, instruments, surfaces, areas."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from engine.case.parts import Faults, Part, Written, by_id
from engine.reading import shown

_OF_AN_AREA = ("surfaces", "samples", "timber", "loggers")
_OF_A_SURFACE = ("zones", "features")
_ON_A_SURFACE = ("surface_temperatures", "samples", "timber", "loggers", "photographs")


def check(written: Written, faults: Faults) -> None:
    """Record every id given twice and every name that stands for nothing."""
    for what, parts in _families(written):
        _given_once(what, parts, faults)
    for part in _with_visit(written):
        _visit(part, written, faults)
    for part in written.measured():
        if "visit" not in part.data and len(written.visits) > 1:
            allowed = f"one of {', '.join(written.visits)}"
            faults.add(
                part.at("visit"), "no visit, though there are several", allowed, "say on which visit it was taken"
            )
    for part in written.measured():
        _instrument(part, written, faults)
    for area in written.areas:
        surfaces = by_id(area.parts("surfaces"))
        for name in _ON_A_SURFACE:
            for part in area.parts(name):
                _known("surface", part, surfaces, "of this area", faults)
    _key(written, faults)


def _families(written: Written) -> Iterator[tuple[str, Iterable[Part]]]:
    """Each group of things whose ids must differ, with what the group is called."""
    yield "among the visits", written.root.parts("visits")
    yield "among the areas", written.areas
    for visit in written.root.parts("visits"):
        yield "among the instruments of a visit", visit.parts("instruments")
    for area in written.areas:
        for name in _OF_AN_AREA:
            yield f"among the {'timber readings' if name == 'timber' else name} of an area", area.parts(name)
        for surface in area.parts("surfaces"):
            for name in _OF_A_SURFACE:
                yield f"among the {name} of a surface", surface.parts(name)


def _given_once(what: str, parts: Iterable[Part], faults: Faults) -> None:
    first: dict[str, Part] = {}
    for part in parts:
        name = part.text("id")
        if name is None:
            continue
        if name in first:
            place = faults.document.place(first[name].at("id"))
            found = f"the id {shown(name)} a second time (first on {place})"
            faults.add(part.at("id"), found, f"each id once {what}", "give it another id")
        else:
            first[name] = part


def _with_visit(written: Written) -> Iterator[Part]:
    yield from written.measured()
    for area in written.areas:
        yield from area.parts("photographs")
    for _, _, fact in written.facts():
        yield fact


def _visit(part: Part, written: Written, faults: Faults) -> None:
    _known("visit", part, written.visits, "of this case", faults)
    home = written.root.data.get("visits")
    if part.path[0] == "visits" and isinstance(home, list) and isinstance(part.path[1], int):
        own, named = home[part.path[1]].get("id"), part.text("visit")
        if named in written.visits and named != own:
            faults.add(part.at("visit"), shown(named), f"{own}, the visit in which the fact stands", "leave visit out")


def _known(kind: str, part: Part, names: Iterable[str], where: str, faults: Faults) -> None:
    named = part.text(kind)
    if named is None or named in names:
        return
    listed = tuple(names)
    allowed = f"one of the {kind}s {where}: {', '.join(listed[:20])}" if listed else f"a {kind} {where}; none is listed"
    faults.add(part.at(kind), f"the unknown {kind} {shown(named)}", allowed, near=named, names=listed)


def _instrument(part: Part, written: Written, faults: Faults) -> None:
    named, visit = part.text("instrument"), written.visit_of(part)
    if named is None or visit is None or named in written.instruments[visit]:
        return
    elsewhere = [other for other, listed in written.instruments.items() if named in listed]
    if elsewhere:
        allowed = f"an instrument of visit {visit}: {', '.join(written.instruments[visit]) or 'none is listed'}"
        found = f"the instrument {shown(named)}, which is listed under visit {elsewhere[0]} only"
        faults.add(part.at("instrument"), found, allowed, "correct the visit, or list the instrument there too")
    else:
        _known("instrument", part, written.instruments[visit], f"of visit {visit}", faults)


def _key(written: Written, faults: Faults) -> None:
    key = written.root.part("key")
    if key is None:
        return
    areas = by_id(written.areas)
    seen: set[str] = set()
    for part in key.parts("areas"):
        _known("area", part, areas, "of this case", faults)
        named = part.text("area")
        if named is not None and named in seen:
            faults.add(part.at("area"), f"the area {shown(named)} a second time", "each area once in the key")
        seen.add(named or "")
        if named in areas:
            _telling(part, areas[named], written, faults)


def _telling(part: Part, area: Part, written: Written, faults: Faults) -> None:
    """The evidence that a key calls telling must be in the case."""
    given = {
        fact.text("attribute") or ""
        for kind, place, fact in written.facts()
        if kind in ("dwelling", "visit") or place.path[:2] == area.path[:2]
    }
    for path, name in part.texts("telling"):
        if name not in given:
            allowed = "attributes that this case gives for the area"
            faults.add(
                path, f"the telling attribute {shown(name)}, of which there is no fact", allowed, near=name, names=given
            )
    for path, name in part.texts("telling_data"):
        field = {"surface-temperatures": "surface_temperatures"}.get(name, name)
        here = (
            any(True for s in area.parts("surfaces") for _ in s.parts("readings"))
            if name == "readings"
            else area.data.get(field)
        )
        if not here:
            faults.add(path, f"the telling data {shown(name)}, of which the area has none", "data that the area has")
