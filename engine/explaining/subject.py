"""What is explained: one area of a case with its facts, what they come to, and the opinion on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from engine.case.models import Area, Case
from engine.errors import InvalidInput, Problem, nearest
from engine.inference.facts import Fact, Facts
from engine.opinion.models import AreaOpinion, CauseOpinion
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import AreaFacts, Judgement, gather, judge, weigh_area


@dataclass(frozen=True)
class Subject:
    """An area under explanation; nothing in it is ever changed."""

    reasoner: Reasoner
    case: Case
    area: Area
    folder: Path | None
    known: AreaFacts
    judged: Judgement
    opinion: AreaOpinion

    @property
    def facts(self) -> Facts:
        """The facts of the area before any rule about findings runs."""
        return self.known.facts

    @property
    def causes(self) -> Mapping[str, CauseOpinion]:
        """The opinion on each cause, most believed first."""
        return {cause.id: cause for cause in self.opinion.causes}

    @property
    def foremost(self) -> tuple[str, ...]:
        """The leading causes; where none leads, the most believed one."""
        return self.judged.determination.leading or (self.opinion.causes[0].id,)


def subject_of(reasoner: Reasoner, case: Case, area: Area, folder: Path | None = None) -> Subject:
    """An area of a case made ready to be explained; ``folder`` is the case's own, in which its loggers' files lie."""
    known = gather(reasoner, case, area, folder)
    judged = judge(reasoner, known.facts)
    return Subject(reasoner, case, area, folder, known, judged, weigh_area(reasoner, area, known))


def replayed(subject: Subject, facts: Iterable[Fact]) -> Judgement:
    """What the area's facts come to with some of them put in the place of, or beside, those that are there."""
    return judge(subject.reasoner, {**subject.facts, **{fact.attribute: fact for fact in facts}})


def known_name(name: str, names: Mapping[str, object], kind: str, where: str) -> str:
    """The name itself when it is among the names; InvalidInput, with the nearest, when it is not."""
    if name not in names:
        allowed = f"one of {', '.join(names)}" if len(names) <= 25 else f"the id of a {kind}"
        raise InvalidInput([Problem(where, None, kind, repr(name), allowed, "", nearest(name, names))])
    return name
