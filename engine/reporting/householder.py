"""The householder's page: what was found, what to do first, how to stay safe; plain words, every term explained.

What it says in plain words are records: of causes and steps their own ``plain``, of the rest the word lists
``householder-…``. It says nothing that the technical report does not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from engine.days import day_words
from engine.opinion.models import AreaOpinion, CauseOpinion
from engine.opinion.words import list_words
from engine.reporting.blocks import Block, Paragraph, Part, Points, Section
from engine.reporting.material import Material, Place, disagrees, is_draft, signed
from engine.reporting.phrases import most_pressing
from engine.reporting.readability import Readability, readability
from engine.reporting.wordlists import pairs
from engine.rulebook import Rulebook
from engine.rulebook.telling import Entry

STEPS, POSSIBLE = 3, 3
"""How many steps, and how many causes that stay open, the page names for one place; fewer of several."""
LIKELY_ENOUGH = 0.10
"""A cause less probable than this is not named to a householder."""


def householder(found: Material) -> Part:
    """The householder's page."""
    sections = [
        Section("home-found", "What we found", _visited(found), tuple(_place(found, place) for place in found.places)),
        Section("home-first", "What to do first", _first(found)),
        Section("home-care", "Take care", _care(found)),
        Section("home-paying", "Before you pay for works", _lines(found.rulebook, "householder-before-paying")),
        Section("home-limits", "What this page does not say", _lines(found.rulebook, "householder-limits")),
    ]
    terms = _terms(found.rulebook, sections)
    if terms:
        sections.insert(-1, Section("home-words", "Words used here", (Points(terms),)))
    return Part("householder", "For the householder", tuple(section for section in sections if _filled(section)))


def how_plain(part: Part) -> Readability:
    """How plainly the page reads: its running text, without headings and names."""
    return readability(text for section in part.walk() for text in running_text(section))


def running_text(section: Section) -> Iterator[str]:
    """The running text of a section itself, piece by piece."""
    for block in section.blocks:
        if isinstance(block, Paragraph):
            yield block.text
        elif isinstance(block, Points):
            for entry in block.entries:
                yield entry.text
                yield from (under.text for under in entry.under)


def _filled(section: Section) -> bool:
    return bool(section.blocks or section.sections)


def _visited(found: Material) -> tuple[Block, ...]:
    said = [f"We looked at your home on {list_words(day_words(visit.on, weekday=False) for visit in found.visits)}."]
    if is_draft(found):
        said.append("This page is a draft. It is not signed and may still change, so do not rely on it.")
    if found.case.invented:
        said.append("This home does not exist. All of it is made up.")
    return (Paragraph(" ".join(said)),)


def _place(found: Material, place: Place) -> Section:
    opinion = place.opinion
    blocks: list[Block] = list(_answer(found, place))
    for _ in opinion.unknown_because[:1]:
        blocks.append(Paragraph("It may also be something that our method does not know."))
    blocks += _inspector(found, place)
    return Section(f"home-{place.area.id}", place.area.title, tuple(blocks))


def _answer(found: Material, place: Place) -> Iterator[Block]:
    opinion, belief = place.opinion, pairs(found.rulebook, "householder-belief")
    of = {cause.id: cause for cause in opinion.causes}
    leading = [of[name] for name in opinion.leading]
    if opinion.determined and opinion.level == "cause":
        for cause in leading:
            yield Paragraph(f"{cause.plain} {belief[cause.words]}")
    elif opinion.determined:
        yield Paragraph("We know what kind of damp this is. We do not know yet which way it gets in:")
        yield _possible(found, [c for c in opinion.causes if c.mechanism in opinion.leading_mechanisms], 2)
    elif opinion.no_active_damp.reportable and not leading:
        yield Paragraph("We found no sign that water is getting in now.")
    else:
        yield from _open(found, opinion)


def _open(found: Material, opinion: AreaOpinion) -> Iterator[Block]:
    likely = [c for c in opinion.causes if c.probability >= LIKELY_ENOUGH]
    said = "We cannot say for sure yet what makes this place damp."
    checks = " The checks below will help to tell." if any(step.kind == "test" for step in opinion.steps) else ""
    if likely:
        yield Paragraph(f"{said} It could be:")
        yield _possible(found, likely)
    else:
        yield Paragraph(f"{said}{checks}")


def _possible(found: Material, causes: list[CauseOpinion], least: int = 1) -> Points:
    belief = pairs(found.rulebook, "householder-belief")
    shown = [cause for cause in causes if cause.probability >= LIKELY_ENOUGH][
        : max(_most(found, POSSIBLE), least)
    ] or causes[:1]
    return Points(tuple(Entry(f"{cause.plain} {belief[cause.words]}") for cause in shown))


def _inspector(found: Material, place: Place) -> Iterator[Block]:
    conclusion = place.area.conclusion
    if conclusion is None or not signed(conclusion):
        return
    if not disagrees(place, found.rulebook):
        yield Paragraph("The inspector has come to the same view and has signed it.")
        return
    plain = " ".join(found.rulebook.causes[name].plain for name in conclusion.causes)
    own = plain or "There is no damp here that is still being fed."
    yield Paragraph(f"The inspector has come to another view and has signed it. {own}")


def _first(found: Material) -> tuple[Block, ...]:
    when = pairs(found.rulebook, "householder-when")
    most = _most(found, STEPS)
    chosen = {step.id: step for place in found.places for step in most_pressing(place.opinion.steps, most)}
    if not chosen:
        return (Paragraph("There is nothing that must be done on what we know."),)
    steps = most_pressing(tuple(chosen.values()), len(chosen))
    return (Points(tuple(Entry(f"{s.plain} (By: {s.who}, {when[s.urgency]}.)") for s in steps), numbered=True),)


def _most(found: Material, most: int) -> int:
    return max(most + 1 - len(found.places), 1)


def _care(found: Material) -> tuple[Block, ...]:
    plain = pairs(found.rulebook, "householder-cautions")
    raised = {item.id for place in found.places for item in place.opinion.cautions}
    ordered = sorted(raised, key=lambda name: (found.rulebook.cautions[name].rank, name))
    entries = tuple(Entry(plain[name]) for name in ordered if name in plain)
    return (Points((*entries, *_wood(found))),)


def _wood(found: Material) -> tuple[Entry, ...]:
    """The state of the timber: once where it is the same everywhere, else place by place."""
    plain = pairs(found.rulebook, "householder-timber")
    states = [(place.area.title, plain[place.opinion.timber.state]) for place in found.places]
    if len({state for _, state in states}) == 1:
        return (Entry(states[0][1]),)
    return tuple(Entry(f"{title}: {state}") for title, state in states)


def _lines(rulebook: Rulebook, name: str) -> tuple[Block, ...]:
    return (Points(tuple(Entry(text) for text in rulebook.words[name].words)),)


def _terms(rulebook: Rulebook, sections: list[Section]) -> tuple[Entry, ...]:
    """The terms of the trade that the page uses, each with its explanation; of a term within a term the longer."""
    text = " ".join(piece for top in sections for section in top.walk() for piece in running_text(section)).lower()
    used: list[tuple[str, str]] = []
    for term, meaning in sorted(
        pairs(rulebook, "householder-terms").items(), key=lambda pair: (-len(pair[0]), pair[0])
    ):
        pattern = rf"\b{re.escape(term)}(?:s|es)?\b"
        if re.search(pattern, text):
            used.append((term, meaning))
            text = re.sub(pattern, " ", text)
    return tuple(Entry(f"{term}: {meaning}.") for term, meaning in sorted(used))
