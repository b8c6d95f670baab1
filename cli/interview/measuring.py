"""Readings, dry references, air and surface temperatures, typed or pasted at a prompt."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from cli.interview.loop import Go
from engine.case.numerals import NotANumber
from engine.errors import InvalidInput
from engine.inquiry.measured import typed_air, typed_column, typed_presses
from engine.inquiry.quantities import quantity

if TYPE_CHECKING:
    from collections.abc import Callable

    from cli.interview.loop import Interview
    from engine.rulebook.models import Question

HOW = {
    "readings": "readings pins 0:28 75:30 150:26/25 at 500 takes a column: height:value from the floor in mm, further "
    "presses after a slash, and the distance from the left edge. readings FILE.csv reads a table; readings paste takes "
    "a pasted one that ends with an empty line.",
    "dry": "dry pins 11 12 11 takes presses on a place known to be dry, of the same material.",
    "air": "air 19.5 C 54% takes the room's air.",
    "surface": "surface 13.2 C takes the temperature of the surface at its coldest.",
}

_Taken = TypeVar("_Taken")
MODES = ("pins", "deep-pins", "capacitance")
"""The ways of reading that an instrument is asked about by name, where the visit has none of that name."""


class Refused(Exception):
    """What was typed cannot be taken; the message says why."""


def take_readings(interview: Interview, question: Question, rest: str) -> Go:
    """A column, a table in a file, or a pasted table of readings."""
    return _taking(interview, "readings", rest, _readings)


def take_dry(interview: Interview, question: Question, rest: str) -> Go:
    """Presses on a dry place."""
    return _taking(interview, "dry", rest, _dry)


def take_air(interview: Interview, question: Question, rest: str) -> Go:
    """The room's air."""
    return _taking(interview, "air", rest, _air)


def take_surface_temperature(interview: Interview, question: Question, rest: str) -> Go:
    """The temperature of the surface."""
    return _taking(interview, "surface", rest, _surface_temperature)


def _taking(interview: Interview, kind: str, rest: str, take: Any) -> Go:
    before = interview.session.state
    if not rest:
        interview.page.line(HOW[kind], indent=3)
        return Go.STAY
    try:
        said = take(interview, rest)
    except NotANumber as fault:
        interview.page.line(f"Found {fault.found}: {fault.advice}.", indent=3)
        return Go.STAY
    except Refused as fault:
        interview.page.line(str(fault), indent=3)
        return Go.STAY
    except InvalidInput as faults:
        for problem in faults.problems:
            interview.page.line(problem.sentence(), indent=3)
        return Go.STAY
    interview.page.line(said, indent=3)
    from cli.views.interview import show_shifts

    show_shifts(interview.session.shifts(before, interview.session.state), interview.page)
    return Go.STAY


def _readings(interview: Interview, rest: str) -> str:
    session = interview.session
    if rest.lower() == "paste" or Path(rest).suffix.lower() in (".csv", ".tsv", ".txt", ".xlsx"):
        if rest.lower() != "paste":
            return _table(interview, session.store.path.parent / rest, rest)
        with tempfile.TemporaryDirectory() as folder:
            return _table(interview, _pasted(interview, Path(folder)), "the pasted table")
    column = typed_column(rest)
    surface = _surface(interview)
    instrument = _instrument(interview, column.instrument)
    readings = column.readings(instrument, session.visit if len(session.case.visits) > 1 else None)
    session.put((*_area_path(interview), "surfaces", surface, "readings"), readings, "readings typed in")
    return f"{_counted(len(readings))} with {instrument} saved."


def _table(interview: Interview, path: Path, name: str) -> str:
    """The readings of a table; a wall or an instrument that the case has not is asked about, as for a typed column."""
    from engine.case.columns import field_of, recognised
    from engine.case.importing import import_readings
    from engine.case.tables import read_table

    session = interview.session
    table = replace(read_table(path, recognised), name=name)
    surface = _surface(interview)
    meters = [place for place, cell in enumerate(table.header.cells) if field_of(str(cell)) in ("instrument", "mode")]
    named = {"-".join(str(row.cells[place]).lower().split()) for row in table.rows for place in meters}
    for meter in sorted(named & set(MODES)):
        _instrument(interview, meter)
    imported = import_readings(
        session.store.document,
        table,
        area=session.area_id,
        surface=session.area.surfaces[surface].id,
        visit=session.visit,
        vocabulary=session.rulebook,
    )
    session.put(imported.path, imported.readings, f"readings from {name}")
    return f"{_counted(len(imported.readings))} from {name} saved."


def _pasted(interview: Interview, folder: Path) -> Path:
    interview.page.line("Paste the table, its header first; an empty line ends it.", indent=3)
    rows = []
    while (line := interview.lines.next("| ")) and line.strip():
        rows.append(line)
    path = folder / "pasted.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def _dry(interview: Interview, rest: str) -> str:
    session = interview.session
    name, values = typed_presses(rest)
    place = _surface(interview)
    surface = session.area.surfaces[place]
    item: dict[str, Any] = {"instrument": _instrument(interview, name), "material": surface.material}
    item["value"] = values[0]
    if len(values) > 1:
        item["repeats"] = list(values[1:])
    if len(session.case.visits) > 1:
        item["visit"] = session.visit
    session.put((*_area_path(interview), "surfaces", place, "dry_references"), (item,), "a dry reference")
    return "The dry reference is saved."


def _air(interview: Interview, rest: str) -> str:
    session = interview.session
    item = typed_air(rest)
    if len(session.case.visits) > 1:
        item["visit"] = session.visit
    session.put((*_area_path(interview), "air"), (item,), "air typed in")
    return "The air is saved."


def _surface_temperature(interview: Interview, rest: str) -> str:
    session = interview.session
    item: dict[str, Any] = {"temperature_c": quantity(rest, "°C").value}
    if len(session.case.visits) > 1:
        item["visit"] = session.visit
    session.put((*_area_path(interview), "surface_temperatures"), (item,), "a surface temperature")
    return "The surface temperature is saved."


def _counted(count: int) -> str:
    return f"{count} reading{'' if count == 1 else 's'}"


def _area_path(interview: Interview) -> tuple[str | int, ...]:
    session = interview.session
    return ("areas", next(i for i, area in enumerate(session.case.areas) if area.id == session.area_id))


def _asked(interview: Interview, prompt: str, take: Callable[[str], _Taken]) -> _Taken:
    """What a side question is answered with, asked again until it can be taken; an empty line gives up."""
    while said := (interview.lines.next(prompt) or "").strip():
        try:
            return take(said)
        except NotANumber as fault:
            interview.page.line(f"Found {fault.found}: {fault.advice}.", indent=3)
    raise Refused("Nothing is saved.")


def _size(said: str) -> tuple[float, float]:
    width, _, height = said.lower().partition("x")
    return quantity(width, "mm").value, quantity(height, "mm").value


def _words(said: str) -> str:
    return "-".join(said.lower().split())


def _place_of(said: str, names: list[str]) -> int:
    if said not in names:
        raise NotANumber(repr(said), f"name one of {', '.join(names)}")
    return names.index(said)


def _surface(interview: Interview) -> int:
    """The place of the area's surface, asked for where there is none or more than one."""
    session = interview.session
    names = [surface.id for surface in session.area.surfaces]
    if len(names) == 1:
        return 0
    if names:
        return _asked(interview, f"   which surface? ({', '.join(names)}) > ", lambda said: _place_of(said, names))
    width, height = _asked(interview, "   width x height of the wall, such as 4,2 m x 2400 mm > ", _size)
    item = {
        "id": "wall",
        "kind": "wall",
        "width_mm": width,
        "height_mm": height,
        "material": _asked(interview, "   its material, such as lime-plaster > ", _words),
    }
    session.put((*_area_path(interview), "surfaces"), (item,), "a surface")
    return 0


def _instrument(interview: Interview, name: str) -> str:
    """The instrument of the visit that a text names by id or mode; a new one is asked about."""
    session = interview.session
    number = next(i for i, visit in enumerate(session.case.visits) if visit.id == session.visit)
    known = session.case.visits[number].instruments
    found = [one.id for one in known if one.id == name] or [one.id for one in known if one.mode == name]
    if len(found) == 1:
        return found[0]
    if name not in MODES:
        listed = ", ".join([*(one.id for one in known), *MODES])
        raise Refused(f"There is no instrument {name!r}: {listed}.")
    prompt = f"   the scale of {name}: wood, or the top of a relative scale such as 100 > "
    top = _asked(
        interview, prompt, lambda said: None if said.lower().startswith("wood") else quantity(said, None).value
    )
    item: dict[str, Any] = {"id": name, "mode": name, "scale": "wood-percent"}
    if top is not None:
        item |= {"scale": "relative", "full_scale": top}
    session.put(("visits", number, "instruments"), (item,), "an instrument")
    return name
