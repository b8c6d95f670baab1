"""For whom, by whom, of what and how far: people, brief, scope, weather, what was not inspected, the instruments."""

from __future__ import annotations

from engine.case.models import Instrument, Visit
from engine.days import day_words
from engine.opinion.words import list_words
from engine.reporting.blocks import Block, Paragraph, Points, Section, Table
from engine.reporting.grouping import STANDARD, WEATHER, under
from engine.reporting.material import Material, Place
from engine.reporting.phrases import NOT_STATED, capital, facts_table, missing, number, plain, visit_words
from engine.rulebook.telling import Entry


def commissioned(found: Material) -> tuple[Section, ...]:
    """The sections on the commission and on how far the inspection went."""
    return (
        Section("commission", "Commission and people", _people(found)),
        Section("scope", "Scope and standard of inspection", _scope(found)),
        Section("weather", "Weather before and during the visits", _weather(found)),
        Section("not-inspected", "What was not inspected or tested, and what that means", _not_inspected(found)),
        Section("instruments", "Instruments and their checks", _instruments(found)),
    )


def _people(found: Material) -> tuple[Block, ...]:
    said = found.case.commission
    days = list_words(
        f"{day_words(visit.on, weekday=False)}{f' ({visit.by})' if visit.by else ''}" for visit in found.visits
    )
    signatures = [
        p.area.conclusion.signed_on for p in found.places if p.area.conclusion and p.area.conclusion.signed_on
    ]
    issued = day_words(max(signatures), weekday=False) if signatures else "not issued: no conclusion is signed"
    told = {
        "Reported on": said and said.reported_on,
        "Investigation finished on": said and said.investigation_finished_on,
    }
    rows = (
        ("Client", said.client if said else None),
        ("Property", found.case.dwelling.title),
        ("Address", found.case.dwelling.address),
        ("Inspector", said.inspector if said else None),
        ("Qualifications and competence", said.qualifications if said else None),
        ("Interests and independence", said.interests if said else None),
        ("Visited on", days),
        ("Signed and issued on", issued),
        *((what, day_words(day, weekday=False)) for what, day in told.items() if day),
    )
    table = Table("People and dates", ("What", "As stated"), tuple((name, text or NOT_STATED) for name, text in rows))
    lacking = [name.lower() for name, text in rows if not text]
    blocks: list[Block] = [table]
    if lacking:
        blocks.append(missing(f"The case does not state: {'; '.join(lacking)}."))
    return tuple(blocks)


def _scope(found: Material) -> tuple[Block, ...]:
    said = found.case.commission
    blocks: list[Block] = []
    if said and said.brief:
        blocks.append(Paragraph(said.brief, "Brief. "))
    else:
        blocks.append(missing("The brief is not stated in the case."))
    blocks.append(
        Table(
            "Places inspected",
            ("Place", "Surfaces read", "Readings", "Samples", "Timber readings", "Air and surface readings"),
            tuple(_extent(place) for place in found.places),
            figures=(2, 3, 4, 5),
        )
    )
    facts = under(found, STANDARD)
    if facts:
        blocks.append(facts_table(found, "How the inspection was made", facts))
    else:
        blocks.append(
            missing("The case does not say how far the inspection went: walk round outside, whole elevations.")
        )
    for note in (found.case.note, found.case.dwelling.note, *(visit.note for visit in found.visits)):
        if note:
            blocks.append(Paragraph(note, "Note. "))
    return tuple(blocks)


def _extent(place: Place) -> tuple[str, ...]:
    area = place.area
    surfaces = list_words(surface.title or plain(surface.id) for surface in area.surfaces)
    counts = (
        sum(len(surface.readings) for surface in area.surfaces),
        len(area.samples),
        len(area.timber),
        len(area.air) + len(area.surface_temperatures),
    )
    return (area.title, surfaces or "none", *(str(count) for count in counts))


def _weather(found: Material) -> tuple[Block, ...]:
    blocks: list[Block] = []
    facts = [*under(found, WEATHER), *under(found, WEATHER, told=True)]
    if facts:
        blocks.append(facts_table(found, "Weather and season", facts))
    outside = [visit for visit in found.visits if visit.outside]
    if outside:
        rows = tuple(_outside(visit) for visit in outside)
        blocks.append(
            Table("Outside air", ("Visit", "Temperature [°C]", "Relative humidity [%]"), rows, figures=(1, 2))
        )
    if not facts:
        blocks.insert(0, missing("The weather before and during the visits is not recorded."))
    if not outside:
        blocks.append(missing("The outside air was not measured on any visit."))
    return tuple(blocks)


def _outside(visit: Visit) -> tuple[str, ...]:
    air = visit.outside
    assert air is not None  # noqa: S101
    return (
        day_words(visit.on, weekday=False),
        number(air.temperature_c),
        number(air.humidity_percent) or "not measured",
    )


def _not_inspected(found: Material) -> tuple[Block, ...]:
    blocks: list[Block] = []
    for place in found.places:
        limits = tuple((capital(limit.what), limit.why) for limit in place.opinion.limits)
        if limits:
            blocks.append(Table(f"Not inspected or tested: {place.area.title}", ("What", "Why"), limits))
        if place.opinion.doubts:
            blocks.append(Paragraph("", f"Doubts about what is known: {place.area.title}"))
            blocks.append(Points(tuple(Entry(capital(text)) for text in place.opinion.doubts)))
    if not any(isinstance(block, Table) for block in blocks):
        blocks.append(missing("Nothing is recorded as not inspected. That does not mean that everything was."))
    blocks.append(
        Paragraph(
            "What was not inspected or tested stays unknown: it counts neither for nor against any cause, nothing"
            " behind it is ruled out, and timber that was not seen is not reported as sound."
        )
    )
    return tuple(blocks)


_INSTRUMENTS = ("Visit", "Instrument", "Method", "Scale", "Serial number", "Calibrated on", "Reference checks", "Note")


def _instruments(found: Material) -> tuple[Block, ...]:
    rows = tuple(_instrument(visit, item) for visit in found.visits for item in visit.instruments)
    blocks: list[Block] = []
    if rows:
        blocks.append(Table("Instruments", _INSTRUMENTS, rows).filled())
        unchecked = [item.id for visit in found.visits for item in visit.instruments if not item.checks]
        if unchecked:
            blocks.append(
                missing(f"No check against a reference is recorded for: {list_words(dict.fromkeys(unchecked))}.")
            )
    else:
        blocks.append(missing("No instruments are recorded, so nothing measured can be traced to one."))
    voided = {(v.visit, v.instrument, v.because) for place in found.places for v in place.opinion.voided}
    if voided:
        set_aside = tuple(
            (visit_words(found, visit), instrument, because) for visit, instrument, because in sorted(voided)
        )
        blocks.append(Table("Readings set aside", ("Visit", "Instrument", "Why"), set_aside))
    return tuple(blocks)


def _instrument(visit: Visit, item: Instrument) -> tuple[str, ...]:
    top = f", 0 to {number(item.full_scale)}" if item.full_scale else ""
    checks = "; ".join(
        f"{check.when}: {number(check.result)} where {number(check.expected)} ± {number(check.tolerance)} is right"
        f" ({'passed' if check.passed else 'failed'})"
        for check in item.checks
    )
    return (
        day_words(visit.on, weekday=False),
        item.id,
        plain(item.mode),
        f"{plain(item.scale)}{top}",
        item.serial or NOT_STATED,
        day_words(item.calibrated_on, weekday=False) if item.calibrated_on else NOT_STATED,
        checks or "none recorded",
        item.note or "",
    )
