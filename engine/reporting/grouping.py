"""Under which heading of a report an observation belongs; the headings and what belongs there are word lists."""

from __future__ import annotations

from collections.abc import Iterator

from engine.case.models import Fact
from engine.days import day_words
from engine.reporting.material import Material
from engine.rulebook import Rulebook

STANDARD, CONSTRUCTION, WEATHER, PEOPLE = (
    "observed-standard",
    "observed-construction",
    "observed-weather",
    "observed-people",
)
OBSERVED = (
    "observed-outside",
    "observed-roof",
    "observed-drainage",
    "observed-services",
    "observed-ventilation",
    "observed-timber",
    "observed-inside",
)
"""The word lists of observations, in the order of an inspection: from outside in, from the top down."""
ELSEWHERE = "observed-inside"
"""The heading of what no list names."""


def groups(rulebook: Rulebook) -> dict[str, str]:
    """The heading of every attribute that a list names, by attribute."""
    lists = (STANDARD, CONSTRUCTION, WEATHER, PEOPLE, *OBSERVED)
    return {attribute: name for name in lists for attribute in rulebook.words[name].words}


def facts_of(found: Material) -> Iterator[tuple[str, Fact]]:
    """Every fact that bears on the places of a report, with where it was recorded; private ones are left out."""
    case = found.case
    recorded = [("the whole dwelling", case.dwelling.facts)]
    recorded += [(f"the visit of {day_words(visit.on, weekday=False)}", visit.facts) for visit in found.visits]
    for place in found.places:
        recorded.append((place.area.title, place.area.facts))
        recorded += [(surface.title or surface.id, surface.facts) for surface in place.area.surfaces]
    for where, facts in recorded:
        for fact in facts:
            if not fact.private:
                yield where, fact


def private_count(found: Material) -> int:
    """How many facts that bear on the places of a report are marked private, and so are not printed."""
    case = found.case
    kept = [*case.dwelling.facts, *(fact for visit in case.visits for fact in visit.facts)]
    for place in found.places:
        kept += [*place.area.facts, *(fact for surface in place.area.surfaces for fact in surface.facts)]
    return sum(fact.private for fact in kept)


def under(found: Material, heading: str, *, told: bool = False) -> list[tuple[str, Fact]]:
    """The facts that belong under a heading, with where each was recorded: those told, or all the others."""
    known = groups(found.rulebook)
    return [
        (where, fact)
        for where, fact in facts_of(found)
        if known.get(fact.attribute, ELSEWHERE) == heading and (fact.basis == "told") == told
    ]
