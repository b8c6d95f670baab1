"""What is known of an area, kept up to date answer by answer: the numbers are measured once, the facts each time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from engine.case.models import Area, Case
from engine.inference.facts import Fact, Facts
from engine.inference.supposing import Suppositions
from engine.opinion.reasoner import Belief, Evidence, Reasoner
from engine.opinion.resolving import resolve
from engine.opinion.weighing import gather


@dataclass(frozen=True)
class State:
    """Where an area stands: its facts before chaining, what chaining made of them, and the belief."""

    facts: Facts
    evidence: Evidence
    belief: Belief

    @property
    def beliefs(self) -> Mapping[str, float]:
        """The probability of each cause."""
        return self.belief.posterior.marginals

    @cached_property
    def suppositions(self) -> Suppositions:
        """The belief made ready to try further answers on."""
        return Suppositions(self.belief.posterior)


class Knowledge:
    """The states of one case's areas; measuring is repeated only when readings, air, samples or the like changed."""

    def __init__(self, reasoner: Reasoner, folder: Path | None = None) -> None:
        self.reasoner, self.folder = reasoner, folder
        self._measured: dict[str, tuple[Any, dict[str, Fact]]] = {}
        self._last: dict[str, State] = {}

    def state(self, case: Case, area: Area) -> State:
        """The state of an area of the case; InvalidInput for faults in its loggers' files.

        The same object as last time where no fact has changed, so that what was reckoned of it stays.
        """
        facts = {**resolve(case, area, self.reasoner.rulebook.attributes).facts, **self._computed(case, area)}
        last = self._last.get(area.id)
        if last is None or last.facts != facts:
            self._last[area.id] = last = self.weighed(facts)
        return last

    def weighed(self, facts: Facts) -> State:
        """The state that some facts would lead to."""
        evidence = self.reasoner.find(facts)
        return State(facts, evidence, self.reasoner.believe(evidence))

    def _computed(self, case: Case, area: Area) -> dict[str, Fact]:
        """The facts that measures compute; they read the facts of surfaces, and no other answers."""
        numbers = area.model_copy(update={"facts": (), "title": "-", "note": None, "conclusion": None})
        key = (numbers, tuple((visit.id, visit.on, visit.instruments, visit.outside) for visit in case.visits))
        kept = self._measured.get(area.id)
        if kept is None or kept[0] != key:
            declared = self.reasoner.rulebook.measures
            found = gather(self.reasoner, case, area, self.folder).facts
            kept = (key, {name: fact for name, fact in found.items() if name in declared})
            self._measured[area.id] = kept
        return kept[1]
