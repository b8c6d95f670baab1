"""The list for the next visit: what to bring, and what to look at, press and ask, in walking order, outside first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from engine.case.models import Area, Case
from engine.inquiry.agenda import Agenda
from engine.inquiry.applying import Standing, left_aside
from engine.inquiry.knowing import Knowledge
from engine.measures import measure
from engine.opinion.models import AreaOpinion
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import gather, weigh_area
from engine.rulebook.models import Question

OUTSIDE, ASK, INSIDE, PRESS, ABOVE, OPEN, LABORATORY = (
    "outside, from the roof down to the ground",
    "ask whoever lives there",
    "inside, look",
    "inside, press and measure",
    "loft, roof and ladders",
    "open up, with consent and after the cautions",
    "take away for weighing",
)
WALK = (OUTSIDE, ASK, INSIDE, PRESS, ABOVE, OPEN, LABORATORY)
_BY_EFFORT = {
    "ask": ASK,
    "look": INSIDE,
    "meter": PRESS,
    "climb": ABOVE,
    "open-up": OPEN,
    "laboratory": LABORATORY,
}


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to do at a place of the walk, how, and for which area."""

    area: str
    what: str
    how: str


@dataclass(frozen=True, slots=True)
class SiteList:
    """What to bring, the cautions to heed, and the walk: every place with its items, in order."""

    title: str
    bring: tuple[str, ...]
    cautions: tuple[str, ...]
    walk: tuple[tuple[str, tuple[Item, ...]], ...]


def site_list(reasoner: Reasoner, case: Case, folder: Path | None, only: str | None = None) -> SiteList:
    """The list for the areas of a case, or for one of them (by id; none of that name gives an empty walk)."""
    found: dict[str, list[Item]] = {place: [] for place in WALK}
    cautions: dict[str, str] = {}
    knowledge, agenda = Knowledge(reasoner, folder), Agenda(reasoner)
    for area in case.areas:
        if only is not None and area.id != only:
            continue
        for place, item in _looks(agenda, knowledge, case, area):
            found[place].append(item)
        found[PRESS] += _presses(reasoner, case, area, folder)
        opinion = weigh_area(reasoner, area, gather(reasoner, case, area, folder))
        cautions |= {caution.id: f"{caution.title}: {caution.text}" for caution in opinion.cautions}
        for place, item in _tests(reasoner, area, opinion):
            found[place].append(item)
    walk = tuple((place, tuple(dict.fromkeys(items))) for place, items in found.items() if items)
    words = reasoner.rulebook.words["site-bring"].words
    bring = [word for word in words if any(word.startswith(f"{place.split(',')[0]}:") for place, _ in walk)]
    bring = [word.partition(": ")[2] for word in bring]
    return SiteList(case.title, tuple(dict.fromkeys(bring)), tuple(cautions.values()), walk)


def _looks(agenda: Agenda, knowledge: Knowledge, case: Case, area: Area) -> Iterator[tuple[str, Item]]:
    """The open questions that look worth their effort, best first, each at its place of the walk."""
    rulebook = agenda.rulebook
    state, left = knowledge.state(case, area), left_aside(case, area)
    standings = agenda.standings(state, left)
    open_now = frozenset(n for n, s in standings.items() if s is Standing.OPEN or s is Standing.LEFT)
    asked = open_now - set(agenda.safety)
    worths = agenda.appraiser.estimates(state, asked, {})
    least = rulebook.parameter("worth-asking-full")
    for name in agenda.safety:
        if standings[name] is Standing.OPEN:
            yield INSIDE, Item(area.title, rulebook.questions[name].prompt, rulebook.questions[name].how)
    most = int(rulebook.parameter("site-list-most"))
    for worth in [worth for worth in worths if worth.expected >= least][:most]:
        question = rulebook.questions[worth.question]
        yield _place(agenda, question), Item(area.title, question.prompt, question.how)


def _place(agenda: Agenda, question: Question) -> str:
    if question.effort in ("look", "meter"):
        said = f"{question.title} {question.prompt}".lower()
        if any(word in said for word in agenda.rulebook.words["outside-words"].words):
            return OUTSIDE
    return _BY_EFFORT[question.effort]


def _presses(reasoner: Reasoner, case: Case, area: Area, folder: Path | None) -> Iterator[Item]:
    """Where to press next on the surfaces that were read, and what is missing from the grid."""
    known = gather(reasoner, case, area, folder)
    voided = frozenset((void.visit, void.instrument) for void in known.voided)
    electrical = measure(case, area, reasoner.rulebook.numbers, voided, folder).electrical
    titles = {surface.id: surface.title or surface.id for surface in area.surfaces}
    for reading in electrical.readings:
        for place in reading.next_places:
            where = f"{titles[place.surface]}: {place.mode.replace('-', ' ')} at {place.x_mm:.0f} mm from the left"
            what = f"{where}, {place.y_mm:.0f} mm above the floor"
            yield Item(area.title, what, reasoner.rulebook.title(place.closes))
    for gap in electrical.gaps:
        if gap.x_mm is None:
            where = f"{titles[gap.surface]}, " if gap.surface in titles else ""
            mode = f" ({gap.mode.replace('-', ' ')})" if gap.mode else ""
            yield Item(area.title, f"{where}{reasoner.rulebook.title(gap.kind)}{mode}", "")


def _tests(reasoner: Reasoner, area: Area, opinion: AreaOpinion) -> Iterator[tuple[str, Item]]:
    for step in opinion.steps:
        if step.kind == "test" and step.effort in _BY_EFFORT:
            yield _BY_EFFORT[step.effort], Item(area.title, step.title, step.how)
