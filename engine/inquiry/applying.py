"""Which questions stand open for an area: applicable, not answered, not left aside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from collections.abc import Set as Collection
from enum import Enum
from functools import cached_property

from engine.case.models import Area, Case, Fact
from engine.inference.conditions import Condition, Outcome, attributes, bind, evaluate
from engine.inference.facts import Facts
from engine.opinion.resolving import UNSETTLED
from engine.rulebook import Rulebook


class Standing(Enum):
    """How a question stands."""

    OPEN = "open"
    ANSWERED = "answered"
    LEFT = "left"
    WAITING = "waiting"
    NOT_APPLICABLE = "not applicable"


def case_facts(case: Case, area: Area) -> Iterator[Fact]:
    """Every fact that bears on an area, of whatever place."""
    yield from case.dwelling.facts
    for visit in case.visits:
        yield from visit.facts
    yield from area.facts
    for surface in area.surfaces:
        yield from surface.facts


def left_aside(case: Case, area: Area) -> frozenset[str]:
    """The attributes that were put to somebody and are not known."""
    facts = list(case_facts(case, area))
    known = {fact.attribute for fact in facts if fact.value not in UNSETTLED}
    return frozenset(fact.attribute for fact in facts if fact.value in UNSETTLED) - known


class Applicability:
    """Decides for every question of a rule base how it stands on some facts."""

    def __init__(self, rulebook: Rulebook) -> None:
        self.rulebook = rulebook

    @cached_property
    def conditions(self) -> Mapping[str, Condition]:
        """The bound condition of every question that does not always apply."""
        numbers = self.rulebook.numbers
        return {
            question.id: bind(question.applies, numbers)
            for question in self.rulebook.questions.values()
            if question.applies is not None
        }

    def standings(self, answered: Collection[str], settled: Facts, left: Collection[str]) -> Mapping[str, Standing]:
        """How every question stands.

        ``answered`` names what is known, ``settled`` are all facts with the findings, ``left`` what nobody could say.
        A question whose condition is not decided waits as long as something that it rests on can still be asked.
        """
        found: dict[str, Standing] = {}
        for name in self.rulebook.questions:
            found[name] = self._standing(name, answered, settled, left)
        for name, standing in found.items():
            if standing is Standing.WAITING:
                awaited = attributes(self.conditions[name]) & found.keys()
                if not any(found[other] in (Standing.OPEN, Standing.WAITING) for other in awaited - {name}):
                    found[name] = Standing.OPEN
        return found

    def _standing(self, name: str, answered: Collection[str], settled: Facts, left: Collection[str]) -> Standing:
        condition = self.conditions.get(name)
        outcome = Outcome.HOLDS if condition is None else evaluate(condition, settled).outcome
        if name in answered:
            return Standing.NOT_APPLICABLE if outcome is Outcome.FAILS else Standing.ANSWERED
        if name in left:
            return Standing.LEFT
        if outcome is Outcome.FAILS:
            return Standing.NOT_APPLICABLE
        return Standing.OPEN if outcome is Outcome.HOLDS else Standing.WAITING
