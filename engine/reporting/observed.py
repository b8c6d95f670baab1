"""The building, what was told of it, and what was seen: told and observed are never in one table."""

from __future__ import annotations

from engine.reporting.blocks import Block, Paragraph, Section
from engine.reporting.grouping import CONSTRUCTION, ELSEWHERE, OBSERVED, PEOPLE, STANDARD, private_count, under
from engine.reporting.material import Material
from engine.reporting.phrases import capital, facts_table, missing, told_table


def observed(found: Material) -> tuple[Section, ...]:
    """The sections on construction, history, people and observations."""
    return (
        Section("construction", "Construction, alterations, earlier treatment and protection", _construction(found)),
        Section("history", "History, as told", _history(found)),
        Section("people", "People at greater risk, as far as the work needs it", _people(found)),
        Section("observations", "Observations", _unobserved(found), _observations(found)),
    )


def _construction(found: Material) -> tuple[Block, ...]:
    facts = under(found, CONSTRUCTION)
    if not facts:
        return (missing("Nothing about the construction was seen or measured, or it is only told below."),)
    known = {fact.attribute for _, fact in [*facts, *under(found, CONSTRUCTION, told=True)]}
    blocks: list[Block] = [facts_table(found, "Construction, as seen, measured or looked up", facts)]
    lacking = [name for name in found.rulebook.words["report-asks"].words if name not in known]
    if lacking:
        blocks.append(missing(f"Not recorded: {'; '.join(found.rulebook.title(name) for name in lacking)}."))
    return tuple(blocks)


def _history(found: Material) -> tuple[Block, ...]:
    headings = (STANDARD, CONSTRUCTION, *OBSERVED)
    told = [pair for heading in headings for pair in under(found, heading, told=True)]
    if not told:
        return (missing("Nothing told by an occupant, owner or neighbour is recorded."),)
    return (
        Paragraph(
            "What people said is kept apart from what was seen or measured, and counts for less in the weighing."
        ),
        told_table(found, "What was told, and by whom", told),
    )


def _people(found: Material) -> tuple[Block, ...]:
    facts = [*under(found, PEOPLE), *under(found, PEOPLE, told=True)]
    blocks: list[Block] = []
    if facts:
        blocks.append(facts_table(found, "Occupation and risk", facts))
    else:
        blocks.append(missing("Whether somebody at greater risk lives here is not recorded. It was not assumed."))
    held = private_count(found)
    if held:
        said = "One fact is" if held == 1 else f"{held} facts are"
        blocks.append(Paragraph(f"{said} marked private in the case and not printed here."))
    blocks.append(Paragraph("No cause in this report is put down to the people who live in the home."))
    return tuple(blocks)


def _observations(found: Material) -> tuple[Section, ...]:
    sections = []
    for heading in OBSERVED:
        facts = under(found, heading)
        if facts:
            title = capital(found.rulebook.title(heading))
            sections.append(Section(heading, title, (facts_table(found, f"Observations: {title.lower()}", facts),)))
    notes = [
        (title, note)
        for place in found.places
        for title, note in (
            (place.area.title, place.area.note),
            *((surface.title or surface.id, surface.note) for surface in place.area.surfaces),
        )
        if note
    ]
    if notes:
        sections.append(
            Section("observed-notes", "Notes", tuple(Paragraph(text, f"{title}. ") for title, text in notes))
        )
    return tuple(sections)


def _unobserved(found: Material) -> tuple[Block, ...]:
    empty = [found.rulebook.title(name) for name in OBSERVED if name != ELSEWHERE and not under(found, name)]
    return (missing(f"No observation is recorded on: {'; '.join(empty)}."),) if empty else ()
