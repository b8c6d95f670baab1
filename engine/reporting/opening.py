"""What a reader wants first: what was found, how sure, whose conclusion it is, what to do first, and the cautions."""

from __future__ import annotations

from engine.days import day_words
from engine.explaining.wording import believed, sentence
from engine.opinion.models import AreaOpinion
from engine.opinion.words import about, list_words
from engine.reporting.blocks import Block, Notice, Paragraph, Points, Section, Table
from engine.reporting.material import Material, Place, disagrees, is_draft, lacks_reason, signed
from engine.reporting.phrases import URGENCY, capital, missing, most_pressing, plain, titles
from engine.reporting.places import by_place
from engine.rulebook import Rulebook
from engine.rulebook.telling import Entry

WORTH_NAMING = 0.10
"""A cause less probable than this is named in the table of all causes only."""
FIRST_STEPS = 3
"""How many steps are named at the front."""


def opening(found: Material) -> tuple[Section, ...]:
    """The sections at the front of the technical report."""
    return (
        by_place(found, "found", "What was found, and how sure", lambda p: _found(found, p), _standing(found)),
        by_place(found, "first", "What to do first", _first),
        cautions(found),
    )


def _standing(found: Material) -> tuple[Block, ...]:
    blocks: list[Block] = []
    if is_draft(found):
        blocks.append(
            Notice(
                "draft",
                "Draft",
                "This report is not signed, or a conclusion that differs from the program's gives no reason. It is a"
                " working paper and must not be relied on.",
            )
        )
    if found.case.invented:
        blocks.append(Notice("note", "Invented", "The house in this report does not exist; every figure is made up."))
    return tuple(blocks)


def _found(found: Material, place: Place) -> tuple[Block, ...]:
    blocks: list[Block] = [Paragraph(answer(place.opinion), "The program's opinion. ")]
    blocks += [Points(tuple(Entry(sentence(text)) for text in _qualified(found.rulebook, place.opinion)))]
    blocks += conclusion_blocks(found, place)
    return tuple(blocks)


def answer(opinion: AreaOpinion) -> str:
    """The opinion in one or two sentences."""
    of = {cause.id: cause for cause in opinion.causes}
    leading = [of[name] for name in opinion.leading]
    if opinion.determined and opinion.level == "cause":
        said = list_words(f"{cause.title} ({cause.words}, {cause.band})" for cause in leading)
        return f"Determined: {said}."
    if opinion.determined:
        mechanisms = list_words(plain(name) for name in opinion.leading_mechanisms)
        return f"Determined as to the mechanism: {mechanisms}. By which route is not determined."
    if not leading:
        return "Not determined. The most probable explanation is that none of the causes known here is at work."
    return f"Not determined. What leads is {list_words(f'{c.title} ({c.words}, {c.band})' for c in leading)}."


def _qualified(rulebook: Rulebook, opinion: AreaOpinion) -> list[str]:
    """What must be said in the same breath as the answer."""
    said = []
    if not opinion.determined:
        said += [f"because {reason}" for reason in opinion.why_not_determined]
        test = next((step for step in opinion.steps if step.kind == "test"), None)
        if test:
            said.append(f"the test that would best part what is open: {test.title}")
    beside = [c for c in opinion.causes if c.probability >= WORTH_NAMING and c.id not in opinion.leading]
    if beside:
        said.append(f"also kept open: {list_words(f'{c.title} ({about(c.probability)})' for c in beside)}")
    said += [f"possibly something that the rule base does not know: {text}" for text in opinion.unknown_because]
    if opinion.no_active_damp.reportable:
        said.append(
            f"that nothing is wetting this place now is {believed(rulebook, opinion.no_active_damp.probability)}"
        )
    if opinion.carried_by:
        one = len(opinion.carried_by) == 1
        rests = "it rests on one thing" if one else "it would fall without any one of these"
        said.append(f"{rests}: {list_words(opinion.carried_by)}")
    if opinion.unexplained:
        said.append(f"what does not fit: {list_words(item.title for item in opinion.unexplained)}")
    if opinion.contested:
        said.append(f"concluded both ways and left out: {list_words(item.title for item in opinion.contested)}")
    said.append(f"timber: {opinion.timber.words}")
    return said


def conclusion_blocks(found: Material, place: Place) -> list[Block]:
    """The inspector's own conclusion, kept apart from the program's; what is missing of it is said."""
    conclusion = place.area.conclusion
    lead = "The inspector's own conclusion. "
    if conclusion is None:
        return [
            missing("The inspector's own conclusion on this place is not recorded; only the inspector can draw it.")
        ]
    causes = titles(found.rulebook, conclusion.causes) or "no active damp"
    sure = f" ({plain(conclusion.sureness)})" if conclusion.sureness else ""
    when = " It was recorded before the program's opinion was shown." if conclusion.blind else ""
    blocks: list[Block] = [Paragraph(f"{capital(causes)}{sure}.{when}", lead)]
    if conclusion.statement:
        blocks.append(Paragraph(conclusion.statement, "In the inspector's words. "))
    if conclusion.opinion:
        then = titles(found.rulebook, [c for c in conclusion.opinion.leading if c in found.rulebook.causes])
        state = "determined" if conclusion.opinion.determined else "not determined"
        blocks.append(
            Paragraph(
                f"{capital(then or 'none of the causes')} ({state}), by rule base {conclusion.opinion.rulebook[:12]}.",
                "The program's opinion when that was recorded. ",
            )
        )
    if lacks_reason(place, found.rulebook):
        blocks.append(
            missing("The two conclusions differ, and the inspector's gives no reason for that. One is asked for.")
        )
    elif disagrees(place, found.rulebook):
        blocks.append(Paragraph(conclusion.reason_for_difference or "", "The two differ; the inspector's reason. "))
    if signed(conclusion) and conclusion.signed_on:
        blocks.append(
            Paragraph(f"{conclusion.signed_by}, {day_words(conclusion.signed_on, weekday=False)}.", "Signed. ")
        )
    else:
        blocks.append(missing("The inspector's conclusion on this place is not signed."))
    return blocks


def _first(place: Place) -> tuple[Block, ...]:
    shown = most_pressing(place.opinion.steps, FIRST_STEPS)
    blocks: tuple[Block, ...] = (
        Table(
            f"First steps: {place.area.title}",
            ("Step", "Who", "When", "Why"),
            tuple(
                (capital(step.title), capital(step.who), capital(URGENCY[step.urgency]), step.purpose) for step in shown
            ),
        ),
    )
    if not shown:
        blocks = (Paragraph("Nothing is to be done on what is known."),)
    return blocks


def cautions(found: Material) -> Section:
    """The hazards to people of every place, most pressing first, each said once."""
    by_id = {item.id: item for place in found.places for item in place.opinion.cautions}
    raised = {
        name: [p.area.title for p in found.places if any(c.id == name for c in p.opinion.cautions)] for name in by_id
    }
    ordered = sorted(by_id, key=lambda name: (found.rulebook.cautions[name].rank, name))
    several = len(found.places) > 1
    blocks: list[Block] = []
    for name in ordered:
        item = by_id[name]
        where = f" Raised for: {list_words(raised[name])}." if several and len(raised[name]) < len(found.places) else ""
        blocks.append(Notice("caution", capital(item.title), f"{item.text} Defer to: {item.defer_to}.{where}"))
    return Section("cautions", "Cautions", tuple(blocks))
