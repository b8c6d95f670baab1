"""One area weighed, with what it was weighed from, and the words in which an audit speaks of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from engine.case.models import Area
from engine.inference.posterior import Posterior
from engine.opinion.models import AreaOpinion, CauseOpinion
from engine.opinion.reasoner import Belief, Evidence, Reasoner
from engine.opinion.weighing import AreaFacts, weigh_area
from engine.opinion.words import belief_words, list_words

NONE_OF_THESE = "none of these causes"


@dataclass(frozen=True, slots=True)
class Weighed:
    """The opinion on an area, the evidence that it rests on, and the belief behind it."""

    reasoner: Reasoner
    opinion: AreaOpinion
    evidence: Evidence
    belief: Belief

    @property
    def posterior(self) -> Posterior:
        """The weighed causes."""
        return self.belief.posterior

    @property
    def best(self) -> tuple[str, ...]:
        """The most probable set of causes; may be empty."""
        return self.posterior.sets(1)[0][0]

    def cause(self, name: str) -> CauseOpinion:
        """The opinion on one cause."""
        return next(cause for cause in self.opinion.causes if cause.id == name)

    def titles(self, causes: Iterable[str]) -> tuple[str, ...]:
        """The titles of causes."""
        return tuple(self.reasoner.rulebook.title(cause) for cause in causes)

    def named(self, causes: Iterable[str]) -> str:
        """Causes in a row as they are spoken of."""
        return list_words(self.titles(causes)) or NONE_OF_THESE

    def words(self, probability: float) -> str:
        """A probability in words of belief."""
        return belief_words(probability, self.reasoner.rulebook.numbers)

    def number(self, parameter: str) -> float:
        """A parameter of the rule base."""
        return self.reasoner.rulebook.parameter(parameter)

    def wetting(self) -> tuple[str, ...]:
        """The causes that wet now, as against what is left of old damp and what fools a meter."""
        return tuple(cause.id for cause in self.reasoner.rulebook.causes.values() if cause.kind == "wetting")


def weighed(reasoner: Reasoner, area: Area, known: AreaFacts) -> Weighed:
    """An area weighed from its facts."""
    evidence = reasoner.find(known.facts)
    return Weighed(reasoner, weigh_area(reasoner, area, known), evidence, reasoner.believe(evidence))


def stated(title: str, state: str) -> str:
    """A finding with its state, as it is spoken of."""
    if state in ("absent", "none"):
        return f"{title}, which was looked for and not found"
    return title if state == "present" else f"{title} ({state})"
