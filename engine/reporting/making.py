"""A report put together from a case, its opinion and the rule base: one content for every format."""

from __future__ import annotations

from engine.reporting.advised import advised
from engine.reporting.blocks import Audience, Block, Part, Picture, Report, Section
from engine.reporting.closing import closing
from engine.reporting.commissioned import commissioned
from engine.reporting.householder import householder, how_plain
from engine.reporting.material import Material, Place, is_draft
from engine.reporting.measured import measured
from engine.reporting.observed import observed
from engine.reporting.opening import opening
from engine.reporting.reasoned import reasoned

SECTIONS = {
    "wall-map": "readings",
    "height-profile": "readings",
    "visit-change": "readings",
    "sample-profile": "samples",
    "climate-strip": "climate",
    "evidence-weights": "causes",
}
"""The section in which each kind of figure stands."""


def make_report(found: Material, audience: Audience = "both") -> Report:
    """The report on a case for the householder, for technical readers, or both, the householder's page first."""
    page = householder(found)
    parts = []
    if audience != "technical":
        parts.append(page)
    if audience != "householder":
        parts.append(_technical(found, page))
    commission = found.case.commission
    return Report(
        title=found.case.title,
        dwelling=found.case.dwelling.title,
        author=(commission.inspector if commission else None) or "",
        invented=found.case.invented,
        draft=is_draft(found),
        dated=found.dated,
        case=found.opinion.case,
        rulebook=found.opinion.rulebook,
        version=found.opinion.version,
        parts=tuple(parts),
    )


def _technical(found: Material, page: Part) -> Part:
    def pictures(place: Place, section: str) -> tuple[Block, ...]:
        return tuple(Picture(one) for one in found.figures[place.area.id] if SECTIONS[one.kind] == section)

    chapters = (
        ("summary", "Summary", opening(found)),
        ("inspection", "The inspection", commissioned(found)),
        ("building", "The building, and what was told and seen", observed(found)),
        ("measurements", "Measurements", measured(found, pictures)),
        ("reasoning", "Reasoning", reasoned(found, pictures)),
        ("doing", "What to do", advised(found)),
        ("record", "Record", closing(found, how_plain(page))),
    )
    sections = tuple(Section(name, title, (), inner) for name, title, inner in chapters)
    return Part("technical", "Technical report", sections)
