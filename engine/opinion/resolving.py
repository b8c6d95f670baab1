"""Which fact holds for an area: the narrowest place wins, then the later visit, then the surer word."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from engine.case.models import Area, Case
from engine.case.models import Fact as CaseFact
from engine.inference.facts import Fact, Sureness
from engine.rulebook.models import Attribute

UNSETTLED = ("unknown", "not-inspected")
"""Answers that leave an attribute unknown; neither is ever read as *no*."""

DWELLING, VISIT, AREA, SURFACE = range(4)
"""Places, widest first; a fact at a narrower place hides one at a wider place."""


@dataclass(frozen=True, slots=True)
class Resolved:
    """The facts of one area by attribute, with what had to be left open and why."""

    facts: Mapping[str, Fact]
    doubts: tuple[str, ...]
    not_inspected: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Claim:
    place: int
    surface: str
    when: date
    fact: Fact


def lowered(sureness: Sureness) -> Sureness:
    """One grade less sure, no lower than *not sure*; what was told counts so."""
    return Sureness(max(sureness - 1, Sureness.NOT_SURE))


def to_inference(fact: CaseFact, place: str) -> Fact:
    """A case's fact as the inference layer takes it; `told` is lowered one grade and is not direct."""
    sureness = Sureness.of(fact.sureness)
    if fact.basis == "told":
        sureness = lowered(sureness)
    who = f" by {fact.by}" if fact.by else ""
    return Fact(
        attribute=fact.attribute,
        value=fact.value,
        sureness=sureness,
        direct=fact.basis in ("seen", "measured"),
        origin=f"{fact.basis}{who}, {place}",
    )


def resolve(case: Case, area: Area, attributes: Mapping[str, Attribute]) -> Resolved:
    """The one fact of each attribute that holds for an area.

    Of one place and attribute the later visit wins, then the surer claim; two equally sure claims that
    disagree leave the attribute unknown and raise a doubt. A fact of some of the surfaces stands for the area
    where the area says nothing of its own, or where it is *yes*; a fact of all of them always does. Where surfaces
    disagree, a *yes* stands for the area; anything else that differs between them is left unknown.
    """
    surfaces = {surface.id for surface in area.surfaces}
    claims: dict[str, list[_Claim]] = {}
    not_inspected: set[str] = set()
    for claim in _claims(case, area):
        if claim.fact.value in UNSETTLED:
            if claim.fact.value == "not-inspected":
                not_inspected.add(claim.fact.attribute)
            continue
        claims.setdefault(claim.fact.attribute, []).append(claim)
    facts: dict[str, Fact] = {}
    doubts: list[str] = []
    for name in sorted(claims):
        here = _narrowest(claims[name], surfaces)
        chosen = _settle(here, attributes[name].title if name in attributes else name, doubts)
        if chosen is not None:
            facts[name] = chosen
    return Resolved(facts, tuple(doubts), tuple(sorted(not_inspected - set(facts))))


def _narrowest(claims: list[_Claim], surfaces: set[str]) -> list[_Claim]:
    """The claims of the narrowest place that speaks for the whole area."""
    narrowest = max(claim.place for claim in claims)
    here = [claim for claim in claims if claim.place == narrowest]
    wider = [claim for claim in claims if claim.place == AREA]
    partial = narrowest == SURFACE and {claim.surface for claim in here} != surfaces
    if partial and wider and not any(claim.fact.value == "yes" for claim in here):
        return wider
    return here


def _claims(case: Case, area: Area) -> Iterator[_Claim]:
    days = {visit.id: visit.on for visit in case.visits}
    only = case.visits[0].on if len(case.visits) == 1 else date.min

    def when(fact: CaseFact) -> date:
        return days.get(fact.visit, only) if fact.visit else only

    for fact in case.dwelling.facts:
        yield _Claim(DWELLING, "", when(fact), to_inference(fact, "the dwelling"))
    for visit in case.visits:
        for fact in visit.facts:
            yield _Claim(VISIT, "", visit.on, to_inference(fact, f"visit {visit.id}"))
    for fact in area.facts:
        yield _Claim(AREA, "", when(fact), to_inference(fact, area.title))
    for surface in area.surfaces:
        for fact in surface.facts:
            place = f"{area.title}, {surface.title or surface.id}"
            yield _Claim(SURFACE, surface.id, when(fact), to_inference(fact, place))


def _settle(claims: list[_Claim], title: str, doubts: list[str]) -> Fact | None:
    by_surface: dict[str, list[_Claim]] = {}
    for claim in claims:
        by_surface.setdefault(claim.surface, []).append(claim)
    settled = [_latest(by_surface[surface], title, doubts) for surface in sorted(by_surface)]
    known = [fact for fact in settled if fact is not None]
    if len({fact.value for fact in known}) > 1:
        if {fact.value for fact in known} <= {"yes", "no"}:
            return _surest(fact for fact in known if fact.value == "yes")
        doubts.append(f"{title}: the surfaces of this area differ, so it is left open")
        return None
    return _surest(known) if known else None


def _latest(claims: list[_Claim], title: str, doubts: list[str]) -> Fact | None:
    last = max(claim.when for claim in claims)
    facts = [claim.fact for claim in claims if claim.when == last]
    best = max((fact.sureness, fact.direct) for fact in facts)
    surest = [fact for fact in facts if (fact.sureness, fact.direct) == best]
    if len({fact.value for fact in surest}) > 1:
        values = " and ".join(sorted(str(fact.value) for fact in surest))
        doubts.append(f"{title}: recorded both as {values}, equally surely, so it is left open")
        return None
    return _surest(surest)


def _surest(facts: Iterable[Fact]) -> Fact:
    return min(facts, key=lambda fact: (-fact.sureness, not fact.direct, str(fact.value), fact.origin))
