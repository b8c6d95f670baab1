"""What is known of a case at the desk, before anybody goes to the house: what was told, looked up or written down."""

from __future__ import annotations

from collections.abc import Iterable

from engine.case.models import Area, Case, Fact

_AT_THE_DESK = ("told", "inferred")


def at_the_desk(case: Case) -> Case:
    """The case without anything that was seen or measured on a visit.

    Facts of the dwelling and of visits stay whatever their basis, for they may be looked up (its age, the season);
    those of areas and surfaces only when told or inferred. Surfaces keep their size, material and features.
    """
    visits = tuple(visit.model_copy(update={"instruments": (), "outside": None}) for visit in case.visits)
    return case.model_copy(update={"visits": visits, "areas": tuple(_area(area) for area in case.areas)})


def _area(area: Area) -> Area:
    surfaces = tuple(
        surface.model_copy(update={"readings": (), "dry_references": (), "facts": _kept(surface.facts)})
        for surface in area.surfaces
    )
    seen = ("air", "surface_temperatures", "samples", "timber", "loggers", "photographs", "not_inspected")
    emptied = dict.fromkeys(seen, ())
    return area.model_copy(update={**emptied, "surfaces": surfaces, "facts": _kept(area.facts), "conclusion": None})


def _kept(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    return tuple(fact for fact in facts if fact.basis in _AT_THE_DESK)
