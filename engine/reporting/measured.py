"""What was measured: readings and their dry references, air and surfaces, samples, timber, and what they come to."""

from __future__ import annotations

from collections.abc import Callable

from engine.case.models import DryReference, Reading, Sample, Surface
from engine.explaining.wording import value_words
from engine.opinion.words import list_words
from engine.reporting.blocks import Block, Paragraph, Section, Table
from engine.reporting.material import Material, Place
from engine.reporting.phrases import (
    capital,
    material_of,
    missing,
    number,
    plain,
    spot,
    surface_words,
    visit_words,
)
from engine.reporting.places import by_place

ACCOUNTS = "report-accounts"
"""The topics whose measures are listed with how they are reckoned."""
LISTED = 400
"""How many places of a surface are listed; the case file holds them all, and the report says so."""

Pictures = Callable[[Place, str], tuple[Block, ...]]
"""The figures of a place that belong in a section of the report."""
Make = Callable[[Material, Place], tuple[Block, ...]]


def measured(found: Material, pictures: Pictures) -> tuple[Section, ...]:
    """The sections on everything measured."""
    kinds = (
        ("readings", "Meter readings", (_relative(),), _readings),
        ("climate", "Air, surfaces and loggers", (), _climate),
        ("samples", "Weighed samples and salts", (), _samples),
        ("timber-readings", "Timber readings", (), _timber),
        ("reckoned", "What the measurements come to", (), _reckoned),
    )
    return tuple(_section(found, pictures, *kind) for kind in kinds)


def _section(
    found: Material, pictures: Pictures, name: str, title: str, before: tuple[Block, ...], make: Make
) -> Section:
    return by_place(found, name, title, lambda place: (*pictures(place, name), *make(found, place)), before)


def _relative() -> Paragraph:
    return Paragraph(
        "Readings on masonry and plaster are relative, on the instrument's own scale: they are compared with a dry"
        " reference on the same material and are no percentage of water. Only readings in timber, and weighed samples,"
        " are percentages. Places are millimetres from the bottom left of the surface as seen from the room."
    )


def _readings(found: Material, place: Place) -> tuple[Block, ...]:
    blocks: list[Block] = []
    for surface in place.area.surfaces:
        name = surface.title or plain(surface.id)
        if surface.dry_references:
            rows = tuple(_reference(found, item) for item in surface.dry_references)
            blocks.append(
                Table(
                    f"Dry references: {name}",
                    ("Visit", "Instrument", "Material", "Reading", "Repeats", "Place"),
                    rows,
                    figures=(3,),
                )
            )
        if surface.readings:
            blocks += _of_surface(found, surface, name)
            if not surface.dry_references:
                blocks.append(
                    missing(f"No dry reference was taken for {name}: its readings cannot be called raised or dry.")
                )
        if surface.features:
            blocks.append(_features(surface, name))
    if not any(surface.readings for surface in place.area.surfaces):
        blocks.append(missing("No electrical meter readings are recorded for this place."))
    return tuple(blocks)


def _features(surface: Surface, name: str) -> Table:
    rows = tuple(
        (
            capital(plain(item.kind)),
            f"{spot(item.x_mm, item.y_mm)}, to {spot(item.to_x_mm, item.to_y_mm)}",
            item.note or "",
        )
        for item in surface.features
    )
    return Table(f"On, in or behind: {name}", ("What", "From corner to corner [mm]", "Note"), rows).filled()


def _reference(found: Material, item: DryReference) -> tuple[str, ...]:
    repeats = list_words(number(value) for value in item.repeats)
    return (
        visit_words(found, item.visit),
        item.instrument,
        material_of(item.material),
        number(item.value),
        repeats or "none",
        item.place or "",
    )


def _of_surface(found: Material, surface: Surface, name: str) -> list[Block]:
    """The readings of a surface: one row to a place, one column to an instrument, one table to a visit."""
    blocks: list[Block] = []
    size = f"{number(surface.width_mm)} by {number(surface.height_mm)} mm, {material_of(surface.material)}"
    modes = {
        item.id: f"{plain(item.mode)}, {plain(item.scale)}" for visit in found.visits for item in visit.instruments
    }
    visits = dict.fromkeys(visit_words(found, reading.visit) for reading in surface.readings)
    for visit in visits:
        taken = [reading for reading in surface.readings if visit_words(found, reading.visit) == visit]
        instruments = list(dict.fromkeys(reading.instrument for reading in taken))
        places: dict[tuple[float, float, float, str], dict[str, Reading]] = {}
        for reading in taken:
            at = (
                reading.x_mm,
                reading.y_mm,
                reading.depth_mm,
                material_of(reading.material or _material_at(surface, reading)),
            )
            places.setdefault(at, {})[reading.instrument] = reading
        rows = tuple(
            (
                number(x),
                number(y),
                number(depth),
                material,
                *(_value(by_instrument.get(instrument)) for instrument in instruments),
                "; ".join(reading.note for reading in by_instrument.values() if reading.note),
            )
            for (x, y, depth, material), by_instrument in sorted(places.items())
        )
        header = ("Right [mm]", "Up [mm]", "Depth [mm]", "Material")
        columns = tuple(f"{instrument} ({modes.get(instrument, 'unknown')})" for instrument in instruments)
        blocks.append(
            Table(
                f"Readings: {name} ({size}), {visit}. Repeats in brackets.",
                (*header, *columns, "Note"),
                rows[:LISTED],
                figures=(0, 1, 2, *range(4, 4 + len(columns))),
            ).filled()
        )
        if len(rows) > LISTED:
            blocks.append(
                Paragraph(f"{len(rows) - LISTED} more places of this surface are in the case file and not listed here.")
            )
    return blocks


def _material_at(surface: Surface, reading: Reading) -> str:
    for zone in surface.zones:
        if zone.x_mm <= reading.x_mm <= zone.to_x_mm and zone.y_mm <= reading.y_mm <= zone.to_y_mm:
            return zone.material
    return surface.material


def _value(reading: Reading | None) -> str:
    if reading is None:
        return "not read"
    repeats = f" ({', '.join(number(value) for value in reading.repeats)})" if reading.repeats else ""
    return f"{number(reading.value)}{repeats}"


def _climate(found: Material, place: Place) -> tuple[Block, ...]:
    area = place.area
    logged_kinds = {logger.kind for logger in area.loggers}
    blocks: list[Block] = []
    if area.air:
        rows = tuple(
            (
                visit_words(found, item.visit),
                item.place or "the room",
                number(item.temperature_c),
                number(item.humidity_percent),
                "at one moment" if item.kind == "spot" else f"mean of {number(item.days)} days",
                item.instrument or "",
            )
            for item in area.air
        )
        header = ("Visit", "Place", "Temperature [°C]", "Relative humidity [%]", "Taken", "Instrument")
        blocks.append(Table("Room air", header, rows, figures=(2, 3)))
    elif "room-air" not in logged_kinds:
        blocks.append(missing("The room air was not measured, so no dew point is known here."))
    if area.surface_temperatures:
        rows = tuple(
            (
                visit_words(found, item.visit),
                item.place or surface_words(place, item.surface),
                spot(item.x_mm, item.y_mm),
                number(item.temperature_c),
                f"± {number(item.tolerance_k)}" if item.tolerance_k is not None else "",
                item.instrument or "",
            )
            for item in area.surface_temperatures
        )
        header = ("Visit", "Surface", "Place [mm]", "Temperature [°C]", "Tolerance [K]", "Instrument")
        blocks.append(Table("Surface temperatures", header, rows, figures=(3,)))
    elif "surface" not in logged_kinds:
        blocks.append(missing("No surface temperatures were measured."))
    if area.loggers:
        logged = tuple(
            (
                item.id,
                plain(item.kind),
                item.place or surface_words(place, item.surface),
                item.file,
                item.sha256 or "not recorded",
            )
            for item in area.loggers
        )
        blocks.append(Table("Loggers", ("Logger", "What", "Place", "File", "Digest (SHA-256)"), logged))
    else:
        blocks.append(missing("Nothing was logged: what is said of the climate is one day's."))
    return tuple(blocks)


def _samples(found: Material, place: Place) -> tuple[Block, ...]:
    if not place.area.samples:
        return (missing("No samples were weighed, so water and salts were not told apart in the laboratory way."),)
    rows = tuple(_sample(found, place, item) for item in place.area.samples)
    header = (
        "Sample",
        "Surface",
        "Place [mm]",
        "Depth [mm]",
        "Material",
        "As found [g]",
        "At 75 % RH [g]",
        "Oven-dry [g]",
        "Carbide [%]",
        "Salts",
        "Note",
    )
    return (Table("Weighed samples", header, rows, figures=(5, 6, 7, 8)).filled(),)


def _sample(found: Material, place: Place, item: Sample) -> tuple[str, ...]:
    depth = "" if item.depth_from_mm is None else f"{number(item.depth_from_mm)} to {number(item.depth_to_mm)}"
    salts = list_words(
        f"{ion.name} {ion.band or ''}{f' {number(ion.mass_percent)} %' if ion.mass_percent is not None else ''}".strip()
        for ion in item.ions
    )
    visit = f"{item.id}, {visit_words(found, item.visit)}" if len(found.visits) > 1 else item.id
    masses = (item.wet_g, item.conditioned_g, item.dry_g)
    return (
        visit,
        surface_words(place, item.surface),
        spot(item.x_mm, item.y_mm),
        depth,
        plain(item.material or ""),
        *(number(mass) for mass in masses),
        number(item.carbide_percent),
        salts or "not tested",
        item.note or "",
    )


def _timber(found: Material, place: Place) -> tuple[Block, ...]:
    if not place.area.timber:
        return (missing("No timber was read; timber in or at this place is not reported as sound."),)
    rows = tuple(
        (
            item.id,
            plain(item.item),
            visit_words(found, item.visit),
            item.instrument,
            _repeated(item.value, item.repeats),
            number(item.temperature_c) or "not measured",
            plain(item.species or "not known"),
            number(item.depth_mm),
            item.note or "",
        )
        for item in place.area.timber
    )
    header = (
        "Reading",
        "Timber",
        "Visit",
        "Instrument",
        "As read [%]",
        "Its temperature [°C]",
        "Species",
        "Depth [mm]",
        "Note",
    )
    return (Table("Timber readings as taken, repeats in brackets", header, rows, figures=(4, 5, 7)).filled(),)


def _repeated(value: float, repeats: tuple[float, ...]) -> str:
    return f"{number(value)} ({', '.join(number(one) for one in repeats)})" if repeats else number(value)


def _reckoned(found: Material, place: Place) -> tuple[Block, ...]:
    book = found.rulebook
    told_how = book.words[ACCOUNTS].words
    tables: dict[str, list[tuple[str, ...]]] = {}
    for name, fact in sorted(place.subject.facts.items()):
        record = book.measures.get(name)
        if record is not None:
            sure = "" if fact.sureness.word == "certain" else f"; {plain(fact.sureness.word)}"
            row = (
                capital(record.title),
                value_words(book, name, fact.value),
                f"{fact.origin}{sure}",
                record.account if record.topic in told_how else "",
            )
            tables.setdefault(record.topic, []).append(row)
    if not tables:
        return (missing("Nothing could be reckoned from measurements of this place."),)
    header = ("What", "Value", "From", "How it is reckoned")
    return tuple(
        Table(f"Reckoned: {book.title(topic).lower()}", header, tuple(rows)).filled()
        for topic, rows in sorted(tables.items())
    )
