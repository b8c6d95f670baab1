"""What to do: timber, actions at the source first, further tests, monitoring and re-inspection, duties if asked for."""

from __future__ import annotations

from datetime import date, timedelta

from engine.days import day_words
from engine.opinion.models import StepAdvice
from engine.opinion.words import list_words
from engine.reporting.blocks import Block, Notice, Paragraph, Points, Section, Table
from engine.reporting.material import Material, Place
from engine.reporting.phrases import URGENCY, capital, missing, plain, titles
from engine.reporting.places import by_place
from engine.reporting.wordlists import pairs
from engine.rulebook.models import Step
from engine.rulebook.telling import Entry

CONSENTS = "report-consents"


def advised(found: Material) -> tuple[Section, ...]:
    """The sections on what to do."""
    return (
        by_place(found, "timber", "Timber", _timber),
        by_place(found, "actions", "Actions, the source first", lambda place: _steps(found, place, "action")),
        by_place(
            found, "tests", "Further tests, and what each would decide", lambda place: _steps(found, place, "test")
        ),
        by_place(found, "monitoring", "Monitoring and re-inspection", lambda place: _monitoring(found, place)),
        *((_duties(found),) if found.duties else ()),
    )


def _timber(place: Place) -> tuple[Block, ...]:
    timber = place.opinion.timber
    because = {line.rule: (line.title, line.because) for line in place.opinion.trace}
    reasons = [because[rule] for rule in timber.rules if rule in because]
    blocks: list[Block] = [Paragraph(f"{capital(timber.words)}.", "State. ")]
    if reasons:
        blocks.append(Points(tuple(Entry(f"{capital(title)}. {text}") for title, text in reasons)))
    if timber.state == "not-inspected":
        blocks.append(missing("Timber in or near this place was not inspected. That is not the same as sound."))
    return tuple(blocks)


def _steps(found: Material, place: Place, kind: str) -> tuple[Block, ...]:
    listed = [(number, step) for number, step in enumerate(place.opinion.steps, start=1) if step.kind == kind]
    if not listed:
        what = {"action": "No action", "test": "No further test", "monitoring": "No monitoring"}[kind]
        return (missing(f"{what} is called for on what is known."),)
    records = found.rulebook.steps
    decides = "Parts" if kind == "test" else "Success is"
    rows = tuple(
        (
            f"{number}. {capital(step.title)}{' (held back)' if step.held_back else ''}",
            capital(step.who),
            capital(URGENCY[step.urgency]),
            f"{plain(step.cost)}; {plain(records[step.id].invasiveness)}",
            titles(found.rulebook, step.parts) if kind == "test" else records[step.id].success or "not stated",
        )
        for number, step in listed
    )
    caption = {"action": "Actions", "test": "Tests", "monitoring": "Monitoring"}[kind]
    table = Table(
        f"{caption}: {place.area.title}", ("Step, in order", "Who", "When", "Cost; what it disturbs", decides), rows
    )
    details = tuple(_details(found, number, step, records[step.id]) for number, step in listed)
    return (table, Points(details))


def _details(found: Material, number: int, step: StepAdvice, record: Step) -> Entry:
    consents = pairs(found.rulebook, CONSENTS)
    under = [Entry(f"Why: {step.purpose}"), Entry(f"How: {step.how}")]
    if step.means:
        under.append(
            Entry("What results would mean:", tuple(Entry(f"{result}: {means}") for result, means in step.means))
        )
    after = [name for name in record.after if name in {one.id for one in _all_steps(found)}]
    if after:
        under.append(Entry(f"After: {titles(found.rulebook, after)}."))
    if record.success and step.kind == "test":
        under.append(Entry(f"Success is: {record.success}"))
    if record.invasiveness in consents:
        under.append(Entry(f"Consent: {consents[record.invasiveness]}"))
    if step.held_back:
        under.append(
            Entry("Held back; this cannot be undone, so it must wait:", tuple(Entry(t) for t in step.held_back))
        )
    return Entry(f"{number}. {capital(step.title)}", tuple(under))


def _all_steps(found: Material) -> list[StepAdvice]:
    return [step for place in found.places for step in place.opinion.steps]


def _monitoring(found: Material, place: Place) -> tuple[Block, ...]:
    blocks = list(_steps(found, place, "monitoring"))
    due = reinspection(found, place)
    when = day_words(due, weekday=False)
    blocks.append(
        Paragraph(
            f"By {when}, counted from the last day in the case and the most pressing step; the inspector sets the day.",
            "Re-inspection. ",
        )
    )
    return tuple(blocks)


def reinspection(found: Material, place: Place) -> date:
    """The day proposed for looking again: from the last day in the case, by the most pressing step."""
    order = list(URGENCY)
    urgency = min((step.urgency for step in place.opinion.steps), key=order.index, default="planned")
    return found.dated + timedelta(days=found.rulebook.parameter(f"reinspection-{urgency}"))


def _duties(found: Material) -> Section:
    sections = []
    for sheet in found.duties:
        rows = tuple(
            (
                capital(item.title),
                day_words(item.due) if item.due else "no day yet: the investigation has no end",
                item.period,
                item.action,
                item.clause or "",
            )
            for item in sheet.dates
        )
        blocks: list[Block] = [Notice("note", capital(sheet.standing), f"Binds: {sheet.binds}")]
        if sheet.triggers:
            blocks.append(Paragraph(f"{list_words(sheet.triggers)}.", "Where there is: "))
        blocks += [Notice("note", "Warning", text) for text in sheet.warnings]
        if rows:
            header = ("Limit", "Last day", "Period", "What", "Clause")
            blocks.append(Table("Dates, if the duty applies", header, rows))
        known = (
            sheet.note,
            *sheet.sources,
            f"In force from {day_words(sheet.in_force_from)}; looked up on {day_words(sheet.checked_on)}.",
        )
        blocks.append(Points(tuple(Entry(text) for text in known)))
        sections.append(Section(f"duty-{sheet.duty}", capital(sheet.title), tuple(blocks)))
    return Section("duties", "Dates of possible legal duties", (), tuple(sections))
