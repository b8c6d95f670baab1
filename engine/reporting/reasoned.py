"""Each cause for, against and missing; the joint explanation; rivals; steadiness; what would change the answer."""

from __future__ import annotations

from engine.explaining.further_sections import change_section, how_sure_section
from engine.explaining.sections import Section as Account
from engine.explaining.sections import misfits_section, verdict_section, why_section
from engine.explaining.why import why
from engine.explaining.why_not import expected
from engine.explaining.wording import LEAST_SAID, weight
from engine.opinion.models import CauseOpinion, Reason
from engine.opinion.words import about, list_words
from engine.reporting.blocks import Block, Paragraph, Points, Section, Table
from engine.reporting.material import Material, Place
from engine.reporting.measured import Make, Pictures
from engine.reporting.opening import WORTH_NAMING
from engine.reporting.phrases import capital, missing, plain, titles
from engine.reporting.places import by_place
from engine.rulebook.telling import Entry

EXPECTED = 5
"""How many findings that a cause would be expected to show, and that are not known, are named."""
WEIGHTS = (
    "A weight of evidence [dB] says how far belief would move with that one finding taken away; 10 dB multiply the odds"
    " by ten. Weights of overlapping findings do not add up."
)


def reasoned(found: Material, pictures: Pictures) -> tuple[Section, ...]:
    """The sections that account for the opinion, place by place."""
    kinds: tuple[tuple[str, str, Make], ...] = (
        ("causes", "The causes: for, against, missing", _causes),
        ("joint", "Joint explanation", _joint),
        ("misfits", "What does not fit", lambda m, p: _told(misfits_section(m.rulebook, p.misfits))),
        ("rivals", "Rivals considered, and how each was addressed", _rivals),
        ("steadiness", "How sure, how steady, and the range of opinion", _steady),
        ("change", "What would change it", lambda m, p: _told(change_section(m.rulebook, p.change))),
        ("how", "How the opinion on what leads was reached", _how),
    )
    return tuple(_section(found, pictures, *kind) for kind in kinds)


def _section(found: Material, pictures: Pictures, name: str, title: str, make: Make) -> Section:
    causes = name == "causes"
    return by_place(
        found,
        name,
        title,
        lambda place: (*make(found, place), *pictures(place, name)),
        (Paragraph(WEIGHTS),) if causes else (),
        (lambda place: _each_cause(found, place)) if causes else (lambda place: ()),
    )


def _told(account: Account) -> tuple[Block, ...]:
    return (Points(account.entries),)


def _causes(found: Material, place: Place) -> tuple[Block, ...]:
    opinion = place.opinion
    rows = tuple(
        (
            capital(c.title),
            c.words,
            about(c.probability),
            about(c.base_rate),
            about(c.prior),
            weight(c.evidence_decibans),
        )
        for c in opinion.causes
    )
    table = Table(
        f"Every cause weighed, most believed first: {place.area.title}",
        (
            "Cause",
            "Belief in words",
            "Probability",
            "Starting odds",
            "With building and place",
            "The findings together",
        ),
        rows,
        figures=(5,),
    )
    mechanisms = tuple(
        (capital(m.title), m.words, about(m.probability), titles(found.rulebook, m.causes)) for m in opinion.mechanisms
    )
    return (
        Paragraph(f"The starting odds are those of the class: {opinion.reference_class}."),
        table,
        Table(
            f"By mechanism: {place.area.title}",
            ("Mechanism", "Belief in words", "Probability", "Its causes"),
            mechanisms,
        ),
    )


def _each_cause(found: Material, place: Place) -> tuple[Section, ...]:
    shown = [c for c in place.opinion.causes if c.probability >= WORTH_NAMING or c.id in place.opinion.leading]
    return tuple(
        Section(f"cause-{place.area.id}-{c.id}", capital(c.title), _one_cause(found, place, c))
        for c in shown or place.opinion.causes[:1]
    )


def _one_cause(found: Material, place: Place, cause: CauseOpinion) -> tuple[Block, ...]:
    book = found.rulebook
    blocks: list[Block] = [
        Paragraph(f"{capital(cause.words)} ({cause.band}). {book.causes[cause.id].account}"),
        _evidence("For", [r for r in cause.reasons if r.decibans >= LEAST_SAID], cause),
        _evidence("Against", [r for r in cause.reasons if r.decibans <= -LEAST_SAID], cause),
    ]
    entries = []
    if cause.leanings:
        under = tuple(Entry(f"{weight(item.decibans)}: {item.title}. {item.because}") for item in cause.leanings)
        entries.append(Entry("Building and place:", under))
    for item in cause.exclusions:
        how = "Ruled out" if item.hard else "All but ruled out"
        entries.append(Entry(f"{how}: {item.because}", (Entry(f"Overturned by: {item.overturned_by}"),)))
    unknown = expected(place.subject, cause.id)[:EXPECTED]
    unmade = [check for check in cause.gate if not check.made]
    gaps = [Entry(f"Not known: {item.title}; with this cause alone it is met {item.often}.") for item in unknown]
    gaps += [Entry(f"Not yet checked against {book.title(c.rival)}: {c.title}.") for c in unmade]
    entries.append(Entry("Missing:", tuple(gaps)) if gaps else Entry("Missing: nothing that would be expected of it."))
    blocks.append(Points(tuple(entries)))
    return tuple(blocks)


def _evidence(side: str, reasons: list[Reason], cause: CauseOpinion) -> Block:
    if not reasons:
        return Paragraph("No finding weighs half a decibel or more on this side.", f"{side}. ")
    rows = tuple((_finding(r), plain(r.sureness), weight(r.decibans)) for r in reasons)
    return Table(f"{side}: {cause.title}", ("Finding", "How sure", "Weight"), rows, figures=(2,))


def _finding(reason: Reason) -> str:
    if reason.state in ("absent", "none"):
        return f"Not found: {reason.title}"
    return capital(reason.title) if reason.state == "present" else f"{capital(reason.title)} ({reason.state})"


def _joint(found: Material, place: Place) -> tuple[Block, ...]:
    rows = tuple(
        (
            capital(list_words(found.rulebook.title(name) for name in e.causes)) or "None of these causes",
            about(e.probability),
        )
        for e in place.opinion.explanations
    )
    size, error = place.opinion.sets_up_to, place.opinion.estimated_error
    left = "under 1 %" if error < 0.01 else f"about {error:.0%}"
    return (
        Table(
            f"Most probable sets of causes: {place.area.title}", ("Together at work", "Probability"), rows, figures=(1,)
        ),
        Paragraph(
            f"Sets of up to {size} causes were weighed; those left out are estimated to hold {left} of the belief."
        ),
    )


def _rivals(found: Material, place: Place) -> tuple[Block, ...]:
    blocks = _told(verdict_section(found.rulebook, place.verdict))
    if not place.verdict.gates:
        blocks += (missing("No cause stands far enough forward here to have had its rivals checked."),)
    return blocks


def _steady(found: Material, place: Place) -> tuple[Block, ...]:
    account = how_sure_section(found.rulebook, place.how_sure)
    return (Points(account.entries),)


def _how(found: Material, place: Place) -> tuple[Block, ...]:
    blocks: list[Block] = []
    for cause in place.subject.foremost:
        account = why_section(found.rulebook, why(place.subject, cause))
        blocks += [Paragraph("", f"{account.heading}. "), Points(account.entries)]
    return tuple(blocks)
