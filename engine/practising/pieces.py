"""The pieces of evidence that a case holds of one area, and the case as it looks to somebody who has seen only some.

A piece is a tuple of words: its kind first, then what it is of. Answers to a question are one piece each, readings
one for every place pressed with an instrument, whatever the visit.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from engine.case.models import Area, Case, Fact, Reading, Surface

Piece = tuple[str, ...]
QUESTION, READING, DRY, CHECK, PLAN = "question", "reading", "dry", "check", "plan"
AIR, SURFACE_TEMPERATURE, SAMPLE, TIMBER, LOGGER = "air", "surface-temperature", "sample", "timber", "logger"


def reading_piece(surface: Surface, reading: Reading) -> Piece:
    """The piece that a reading belongs to, with the readings of other visits at its place."""
    return (READING, surface.id, f"{reading.x_mm:g}", f"{reading.y_mm:g}", reading.instrument)


def facts_of(case: Case, area: Area) -> Iterator[tuple[str, Fact, str | None]]:
    """Every fact that bears on an area, with the place that it is of and the visit that it is from, where stated."""
    for fact in case.dwelling.facts:
        yield "", fact, fact.visit
    for visit in case.visits:
        for fact in visit.facts:
            yield "", fact, fact.visit or visit.id
    for fact in area.facts:
        yield "", fact, fact.visit
    for surface in area.surfaces:
        for fact in surface.facts:
            yield surface.title or surface.id, fact, fact.visit


def measured_pieces(case: Case, area: Area) -> frozenset[Piece]:
    """Everything of an area that is no answer to a question."""
    found: set[Piece] = set()
    for surface in area.surfaces:
        found |= {reading_piece(surface, reading) for reading in surface.readings}
        found |= {(DRY, surface.id, reference.instrument) for reference in surface.dry_references}
        if surface.features:
            found.add((PLAN, surface.id))
    for visit in case.visits:
        found |= {(CHECK, instrument.id) for instrument in visit.instruments if instrument.checks}
        if visit.outside is not None:
            found.add((AIR,))
    found |= {(AIR,) for _ in area.air}
    found |= {(SURFACE_TEMPERATURE,) for _ in area.surface_temperatures}
    found |= {(SAMPLE, sample.id) for sample in area.samples}
    found |= {(TIMBER, timber.id) for timber in area.timber}
    return frozenset(found | {(LOGGER, logger.id) for logger in area.loggers})


def answer_pieces(case: Case, area: Area) -> frozenset[Piece]:
    """The answers to questions that a case holds of an area; what it calls unknown is none."""
    return frozenset(
        (QUESTION, fact.attribute) for _, fact, _ in facts_of(case, area) if fact.value not in ("unknown",)
    )


def seen_case(case: Case, area: Area, seen: Collection[Piece]) -> Case:
    """The case of this one area as far as the pieces go, without key, notes or conclusion.

    Size, material and zones of surfaces show without asking; what lies on, in or behind them only with their plan.
    """
    known = frozenset(seen)
    asked = {piece[1] for piece in known if piece[0] == QUESTION}
    visits = tuple(
        visit.model_copy(
            update={
                "facts": _kept(visit.facts, asked),
                "outside": visit.outside if (AIR,) in known else None,
                "instruments": tuple(
                    one if (CHECK, one.id) in known else one.model_copy(update={"checks": ()})
                    for one in visit.instruments
                ),
            }
        )
        for visit in case.visits
    )
    dwelling = case.dwelling.model_copy(
        update={"facts": _kept(case.dwelling.facts, asked), "not_inspected": _not_inspected(case.dwelling, asked)}
    )
    others = tuple(_compared(other, known) for other in case.areas if other.id != area.id)
    return case.model_copy(
        update={
            "dwelling": dwelling,
            "visits": visits,
            "areas": (_seen_area(area, known, asked), *others),
            "key": None,
            "note": None,
        }
    )


def _seen_area(area: Area, known: frozenset[Piece], asked: set[str]) -> Area:
    return area.model_copy(
        update={
            "facts": _kept(area.facts, asked),
            "surfaces": tuple(_seen_surface(surface, known, asked) for surface in area.surfaces),
            "air": area.air if (AIR,) in known else (),
            "surface_temperatures": area.surface_temperatures if (SURFACE_TEMPERATURE,) in known else (),
            "samples": tuple(sample for sample in area.samples if (SAMPLE, sample.id) in known),
            "timber": tuple(timber for timber in area.timber if (TIMBER, timber.id) in known),
            "loggers": tuple(logger for logger in area.loggers if (LOGGER, logger.id) in known),
            "not_inspected": _not_inspected(area, asked),
            "photographs": (),
            "conclusion": None,
            "note": None,
        }
    )


def _seen_surface(surface: Surface, known: frozenset[Piece], asked: set[str]) -> Surface:
    return surface.model_copy(
        update={
            "facts": _kept(surface.facts, asked),
            "readings": tuple(one for one in surface.readings if reading_piece(surface, one) in known),
            "dry_references": tuple(
                one for one in surface.dry_references if (DRY, surface.id, one.instrument) in known
            ),
            "features": surface.features if (PLAN, surface.id) in known else (),
        }
    )


def _compared(area: Area, known: frozenset[Piece]) -> Area:
    """Another area of the dwelling, of which only dry references of instruments count here."""
    instruments = {piece[2] for piece in known if piece[0] == DRY}
    surfaces = tuple(
        surface.model_copy(
            update={
                "facts": (),
                "readings": (),
                "features": (),
                "dry_references": tuple(one for one in surface.dry_references if one.instrument in instruments),
            }
        )
        for surface in area.surfaces
    )
    return Area(id=area.id, title=area.title, surfaces=surfaces)


def _kept(facts: Iterable[Fact], asked: Collection[str]) -> tuple[Fact, ...]:
    return tuple(fact for fact in facts if fact.attribute in asked)


def _not_inspected(place: object, asked: Collection[str]) -> tuple[object, ...]:
    items = getattr(place, "not_inspected", ())
    return tuple(item for item in items if set(item.attributes) & set(asked))
