"""What a report is made from: a case, the one opinion on it, and each area ready to be explained."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import Path

from engine.case import case_digest
from engine.case.models import Area, Case, Conclusion, Visit
from engine.case.photographs import Held, read_photographs
from engine.duties import Sheet
from engine.explaining.changing import WhatWouldChange, what_would_change
from engine.explaining.how_sure import HowSure, how_sure
from engine.explaining.subject import Subject, known_name
from engine.explaining.verdict import Misfits, Verdict, misfits, verdict
from engine.opinion.models import AreaOpinion, Opinion
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import gather, judge, weigh_with
from engine.reporting.figures import Figure, figures_of
from engine.rulebook import Rulebook
from engine.sharing.redacting import without_private_text

LONGEST_SIDE = 1400
"""The longest side of a photograph's copy in a report [picture points]."""


@dataclass(frozen=True)
class Place:
    """One damp area: as the case has it, the opinion on it, and its explanations, each made once when asked for."""

    subject: Subject

    @property
    def area(self) -> Area:
        """The area as the case has it."""
        return self.subject.area

    @property
    def opinion(self) -> AreaOpinion:
        """The opinion on it."""
        return self.subject.opinion

    @cached_property
    def verdict(self) -> Verdict:
        """What is determined, and the gates."""
        return verdict(self.subject)

    @cached_property
    def how_sure(self) -> HowSure:
        """How sure, and how steady."""
        return how_sure(self.subject)

    @cached_property
    def misfits(self) -> Misfits:
        """What does not fit."""
        return misfits(self.subject)

    @cached_property
    def change(self) -> WhatWouldChange:
        """What would change it."""
        return what_would_change(self.subject)


@dataclass(frozen=True)
class Material:
    """A case with the opinion on it. ``places`` are the areas that the report is about, in id order."""

    case: Case
    opinion: Opinion
    reasoner: Reasoner
    folder: Path | None
    places: tuple[Place, ...]
    duties: tuple[Sheet, ...] = ()
    photographs: tuple[Held, ...] = ()

    @property
    def rulebook(self) -> Rulebook:
        """The rule base of the opinion."""
        return self.reasoner.rulebook

    @cached_property
    def figures(self) -> Mapping[str, tuple[Figure, ...]]:
        """The figures of each place, by the area's id."""
        return {
            place.area.id: figures_of(self.case, place.area.id, self.opinion, self.rulebook, self.folder)
            for place in self.places
        }

    @cached_property
    def visits(self) -> tuple[Visit, ...]:
        """The visits by day."""
        return tuple(sorted(self.case.visits, key=lambda visit: (visit.on, visit.id)))

    @cached_property
    def dated(self) -> date:
        """The last day that the case knows of: of a signature, else of a visit."""
        return last_day_of(self.case)


def last_day_of(case: Case) -> date:
    """The last day on which anything in a case was signed, or the last visit's where nothing was."""
    signed = [area.conclusion.signed_on for area in case.areas if area.conclusion and area.conclusion.signed_on]
    return max([*(visit.on for visit in case.visits), *signed])


def material(
    case: Case,
    rulebook: Rulebook,
    *,
    folder: Path | None = None,
    areas: Sequence[str] = (),
    backend: str = "auto",
    exact: bool = False,
    duties: tuple[Sheet, ...] = (),
) -> Material:
    """A case weighed and ready to be reported on: all its areas, or those named.

    ``folder`` is the case's own, in which its loggers and photographs lie. Text marked private is nowhere in it; the
    digest is that of the whole case. InvalidInput for an area that there is not.
    """
    digest = case_digest(case)
    case = without_private_text(case)
    known = {area.id: area for area in sorted(case.areas, key=lambda area: area.id)}
    for name in areas:
        known_name(name, known, "area", "--area")
    reasoner = Reasoner(rulebook, backend)
    opinion = weigh_with(reasoner, case, folder=folder, exact=exact)
    opinion = replace(opinion, case=replace(opinion.case, digest=digest))
    places = []
    for found in opinion.areas:
        if not areas or found.id in areas:
            facts = gather(reasoner, case, known[found.id], folder)
            judged = judge(reasoner, facts.facts, exact=exact)
            places.append(Place(Subject(reasoner, case, known[found.id], folder, facts, judged, found)))
    photographs = read_photographs(case, folder, longest_side=LONGEST_SIDE) if folder else ()
    return Material(case, opinion, reasoner, folder, tuple(places), duties, photographs)


def disagrees(place: Place, rulebook: Rulebook) -> bool:
    """Whether the inspector's conclusion on an area says something else than the opinion does.

    Naming a cause where the opinion determines none is saying something else.
    """
    conclusion, opinion = place.area.conclusion, place.opinion
    if conclusion is None:
        return False
    if opinion.determined and opinion.level == "mechanism":
        return {rulebook.causes[name].mechanism for name in conclusion.causes} != set(opinion.leading_mechanisms)
    if opinion.determined:
        return set(conclusion.causes) != set(opinion.leading)
    return bool(conclusion.causes) or not opinion.no_active_damp.reportable


def lacks_reason(place: Place, rulebook: Rulebook) -> bool:
    """Whether a conclusion that says something else gives no reason for it."""
    conclusion = place.area.conclusion
    return conclusion is not None and disagrees(place, rulebook) and not conclusion.reason_for_difference


def signed(conclusion: Conclusion | None) -> bool:
    """Whether a conclusion was drawn and signed."""
    return conclusion is not None and bool(conclusion.signed_by)


def is_draft(found: Material) -> bool:
    """Whether the report is a draft: an area without a signed conclusion, or a difference without a reason."""
    return any(not signed(place.area.conclusion) or lacks_reason(place, found.rulebook) for place in found.places)
