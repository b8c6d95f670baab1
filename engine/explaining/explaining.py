"""An area explained: what was asked about it, answered as data and as sections of sentences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from engine.explaining.changing import WhatWouldChange, what_would_change
from engine.explaining.contrast import Contrast, contrast
from engine.explaining.further_sections import change_section, how_sure_section, what_if_section
from engine.explaining.how_sure import HowSure, how_sure
from engine.explaining.sections import Section, misfits_section, verdict_section, why_section
from engine.explaining.subject import Subject
from engine.explaining.verdict import Misfits, Verdict, misfits, verdict
from engine.explaining.what_if import WhatIf, what_if
from engine.explaining.why import Why, why
from engine.explaining.why_not import WhyNot, why_not
from engine.explaining.why_not_sections import contrast_section, why_not_section
from engine.inference.facts import Value
from engine.opinion.models import Stamp


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of an area. With nothing asked: the verdict, why, how sure, and what does not fit.

    ``cause`` is whose *why* is wanted (else of what leads); the others are further questions, answered instead.
    """

    cause: str | None = None
    why_not: str | None = None
    rather: tuple[str, str] | None = None
    changes: Mapping[str, Value] = field(default_factory=dict)
    change: bool = False
    seed: int = 0


@dataclass(frozen=True, slots=True)
class Explained:
    """The answers about one area; a part that was not asked for is None or empty."""

    area: str
    title: str
    verdict: Verdict
    why: tuple[Why, ...]
    how_sure: HowSure | None
    misfits: Misfits | None
    why_not: WhyNot | None
    rather: Contrast | None
    what_if: WhatIf | None
    change: WhatWouldChange | None
    sections: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """The areas of a case explained, with the digests that pin case and rule base."""

    case: Stamp
    rulebook: Stamp
    version: str
    areas: tuple[Explained, ...]


def explain(subject: Subject, asked: Asked) -> Explained:
    """Answer what is asked of an area; causes and changes have been checked against the rule base."""
    book = subject.reasoner.rulebook
    plain = not (asked.why_not or asked.rather or asked.changes or asked.change)
    found = verdict(subject)
    causes = (asked.cause,) if asked.cause else subject.foremost if plain else ()
    whys = tuple(why(subject, cause) for cause in causes)
    sure = how_sure(subject, seed=asked.seed) if plain else None
    unfit = misfits(subject) if plain else None
    kept_out = why_not(subject, asked.why_not) if asked.why_not else None
    rather = contrast(subject, *asked.rather) if asked.rather else None
    supposed = what_if(subject, asked.changes) if asked.changes else None
    change = what_would_change(subject) if asked.change else None
    sections = [verdict_section(book, found)] if plain else []
    sections += [why_section(book, item) for item in whys]
    sections += [how_sure_section(book, sure)] if sure else []
    sections += [misfits_section(book, unfit)] if unfit else []
    sections += [why_not_section(book, kept_out)] if kept_out else []
    sections += [contrast_section(book, rather)] if rather else []
    sections += [what_if_section(book, supposed)] if supposed else []
    sections += [change_section(book, change)] if change else []
    return Explained(
        area=subject.area.id,
        title=subject.area.title,
        verdict=found,
        why=whys,
        how_sure=sure,
        misfits=unfit,
        why_not=kept_out,
        rather=rather,
        what_if=supposed,
        change=change,
        sections=tuple(sections),
    )
