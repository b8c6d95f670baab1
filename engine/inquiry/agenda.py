"""The order of the questions: safety, then what can rule causes out, then by worth a minute, topic by topic.

A topic is kept until another is worth clearly more; asking stops when nothing affordable is worth much.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as Collection
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from engine.inference.conditions import attributes
from engine.inquiry.applying import Applicability, Standing
from engine.inquiry.knowing import State
from engine.inquiry.value import Appraiser, Tally, Worth
from engine.opinion.reasoner import Reasoner
from engine.rulebook.compiling import active_rules

Depth = Literal["quick", "full"]
Phase = Literal["safety", "excluding", "weighing", "done"]


@dataclass(frozen=True, slots=True)
class Next:
    """What to ask next and why it is its turn; no ``question`` when ``phase`` is done.

    ``best`` is the worth of the best question that was passed over or remains; ``open_questions`` how many are open.
    """

    question: str | None
    phase: Phase
    worth: Worth | None
    best: Worth | None
    open_questions: int


class Agenda:
    """Chooses the questions of one rule base, for the desk or ``on_site``; holds no state of any case."""

    def __init__(self, reasoner: Reasoner, *, on_site: bool = False) -> None:
        self.reasoner, self.rulebook = reasoner, reasoner.rulebook
        self.appraiser = Appraiser(reasoner, on_site=on_site)
        self.applicability = Applicability(self.rulebook)

    @cached_property
    def safety(self) -> tuple[str, ...]:
        """The questions of safety, the gravest caution first."""
        rank: dict[str, int] = {}
        for rule in active_rules(self.rulebook):
            called = [self.rulebook.cautions[c.caution].rank for c in rule.conclude if c.caution is not None]
            for name in attributes(rule.when) if called else ():
                rank[name] = min(rank.get(name, 1_000), *called)
        asked = [question.id for question in self.rulebook.questions.values() if question.safety]
        return tuple(sorted(asked, key=lambda name: (rank.get(name, 1_000), name)))

    @cached_property
    def excluding(self) -> Mapping[str, frozenset[str]]:
        """The questions by which a rule may exclude causes, with these causes."""
        found: dict[str, set[str]] = {}
        for rule in active_rules(self.rulebook):
            causes = {conclusion.exclude for conclusion in rule.conclude if conclusion.exclude is not None}
            for name in attributes(rule.when) & self.rulebook.questions.keys() if causes else ():
                found.setdefault(name, set()).update(causes)
        return {name: frozenset(causes) for name, causes in found.items()}

    def standings(self, state: State, left: Collection[str]) -> Mapping[str, Standing]:
        """How every question stands for an area."""
        return self.applicability.standings(state.facts.keys(), state.evidence.facts, left)

    def next(
        self,
        state: State,
        standings: Mapping[str, Standing],
        left: Collection[str],
        *,
        later: Collection[str] = frozenset(),
        topic: str | None = None,
        opened: bool = False,
        depth: Depth = "full",
        determined: bool = False,
    ) -> Next:
        """The question whose turn it is.

        ``left`` is what nobody could say, ``later`` is put off, ``topic`` is the one being asked about; ``opened``
        keeps to it while anything in it is open. At quick depth asking stops once the area is ``determined``.
        """
        tally = self.appraiser.tally(state.facts.keys(), left)
        state = self.appraiser.firmness.doubted(state)
        names = [n for n, standing in standings.items() if standing is Standing.OPEN and n not in later]
        for name in self.safety:
            if name in names:
                return Next(name, "safety", None, None, len(names))
        if opened:
            inside = [name for name in names if self.rulebook.questions[name].topic == topic]
            if inside:
                tried = self._tried(state, inside, tally)
                return Next(tried[0].question, "weighing", tried[0], tried[0], len(names))
        first = [name for name in names if self._rules_out_something_open(name, state)]
        if first:
            tried = self._tried(state, first, tally)
            return Next(tried[0].question, "excluding", tried[0], tried[0], len(names))
        affordable = [name for name in names if self._minutes(name) <= self.rulebook.parameter(f"affordable-{depth}")]
        enough = self.rulebook.parameter(f"worth-asking-{depth}")
        tried = self._tried(state, affordable, tally, topic, enough) if affordable else []
        worthy = [worth for worth in tried if worth.expected >= enough]
        if not worthy or (determined and depth == "quick"):
            return Next(None, "done", None, tried[0] if tried else None, len(names))
        here = [worth for worth in worthy if self.rulebook.questions[worth.question].topic == topic]
        keep = here and here[0].rate * self.rulebook.parameter("topic-left-at") >= worthy[0].rate
        chosen = here[0] if keep else worthy[0]
        return Next(chosen.question, "weighing", chosen, worthy[0], len(names))

    def _minutes(self, name: str) -> float:
        return self.rulebook.parameter(f"effort-{self.rulebook.questions[name].effort}")

    def _rules_out_something_open(self, name: str, state: State) -> bool:
        level = self.rulebook.parameter("open-at-least")
        beliefs = state.belief.posterior.marginals
        return any(beliefs[cause] >= level for cause in self.excluding.get(name, ()))

    def _tried(
        self, state: State, names: Iterable[str], tally: Tally, topic: str | None = None, enough: float = 0.0
    ) -> list[Worth]:
        """The most promising questions and the best of the present topic, appraised answer by answer, best rate first.

        Where none of those is worth ``enough`` [bits], all others too, a few at a time, until one is.
        """
        estimates = self.appraiser.estimates(state, frozenset(names), tally)
        most = int(self.rulebook.parameter("questions-tried"))
        short, rest = estimates[:most], estimates[most:]
        short += [worth for worth in rest if self.rulebook.questions[worth.question].topic == topic][:1]
        tried = [self.appraiser.appraise(state, worth.question, tally) for worth in short]
        rest = sorted((w for w in rest if w not in short), key=lambda w: (-w.expected, w.question))
        while rest and all(worth.expected < enough for worth in tried):
            tried += [self.appraiser.appraise(state, worth.question, tally) for worth in rest[:most]]
            rest = rest[most:]
        return sorted(tried, key=lambda worth: (-worth.rate, worth.question))
