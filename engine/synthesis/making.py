"""Whole made-up cases: a dwelling, causes, what they do, and the evidence that an inspector would bring home.

In order, each part drawn from a stream of its own under the case's seed:

1. the setting (`setting`): what is known of building and place before any sign is read;
2. the causes, from base rates times leanings, as the engine reckons its priors from that setting;
3. a state for every finding, from the rule base's own network given the causes (`signs`);
4. the physical part, made from the causes (`survey`): the wall's field and its readings (`fields`), air and surfaces
   (`climates`), drilled samples and timber (`columns`). Where physics leaves room, the draw is taken whose findings
   are most as drawn in 3;
5. what the measures and the rules make of 4 *decides*: a finding that the physical part settles is from here on what
   it says, whatever 3 had. A wall cannot be read otherwise than it is, so this is the only way in which readings,
   air, samples and answers never contradict each other;
6. the answers to all other questions, so that the rest comes out as drawn by the rules themselves (`answering`);
7. the key, with the truth, the traps and what is asked of whoever works the case (`keys`).

Made-up cases show whether rules, measures and network agree with one another. They are no evidence of the field.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from engine.case.models import Area, Case, Fact
from engine.case.words import Basis
from engine.inference.belief import Observation
from engine.inference.facts import Fact as Known
from engine.inference.facts import Facts, Value
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import AreaFacts, gather, weigh_area
from engine.rulebook import Rulebook
from engine.rulebook.models import Question
from engine.synthesis.answering import draw_answers
from engine.synthesis.keys import key_of, level_of
from engine.synthesis.setting import Questionnaire
from engine.synthesis.signs import draw_findings
from engine.synthesis.survey import Survey

STREAMS = (
    "setting",
    "causes",
    "findings",
    "building",
    "wall",
    "air",
    "samples",
    "timber",
    "answers",
    "instruments",
    "loggers",
)

OWN_WAYS: Facts = {
    name: Known(name, "yes") for name in ("reference-check-made", "pins-dry-reference", "capacitance-dry-reference")
}
"""How the walls of made-up cases are always read: with checked meters, against dry references."""


@dataclass(frozen=True)
class Made:
    """A made-up case without its key, and the truth about it.

    ``drawn`` are the findings as the network drew them, ``wanted`` the same after the physical part decided; ``priors``
    those from which the causes were drawn; ``masks`` what the setting hides of each finding; ``files`` what loggers
    recorded, by the name under which the case knows each.
    """

    case: Case
    causes: frozenset[str]
    priors: Mapping[str, float]
    drawn: Mapping[str, str]
    wanted: Mapping[str, str]
    masks: Mapping[str, float]
    files: Mapping[str, bytes] = field(default_factory=dict)

    @contextmanager
    def folder(self) -> Iterator[Path | None]:
        """A folder that holds the loggers' files while it is wanted; None where nothing was logged."""
        if not self.files:
            yield None
            return
        with TemporaryDirectory() as place:
            for name, content in self.files.items():
                path = Path(place) / name
                path.parent.mkdir(exist_ok=True)
                path.write_bytes(content)
            yield Path(place)

    @property
    def area(self) -> Area:
        """The one area of the case."""
        return self.case.areas[0]

    def ceiling(self, reasoner: Reasoner) -> Mapping[str, float]:
        """What the network itself believes on every drawn finding: the most that any evidence of them could give."""
        seen = [Observation(name, state, mask=self.masks.get(name, 0.0)) for name, state in self.drawn.items()]
        return reasoner.network.weigh(self.priors, seen).marginals


class CaseMaker:
    """Makes cases by a rule base; holds no state of any case."""

    def __init__(self, rulebook: Rulebook) -> None:
        self.rulebook = rulebook
        self.reasoner = Reasoner(rulebook)
        self.book = Questionnaire(rulebook)

    def make(
        self,
        seed: Sequence[int],
        name: str = "synthetic",
        *,
        causes: frozenset[str] | None = None,
        with_cause: str | None = None,
        log_folder: str | None = None,
    ) -> Made:
        """The case of a seed; ``causes`` are all that is at work, or ``with_cause`` one of them, if wished.

        With a ``log_folder`` climate was logged, and the files are named as lying in it.
        """
        random = {stream: np.random.default_rng([*seed, place]) for place, stream in enumerate(STREAMS)}
        book, reasoner = self.book, self.reasoner
        recorded = book.recorded(random["setting"])
        wished = causes if causes is not None else frozenset({with_cause} if with_cause else ())
        setting = book.draw_setting(random["setting"], recorded, OWN_WAYS, wished)
        known = {**OWN_WAYS, **{question: book.answers.fact(question, value) for question, value in setting.items()}}
        before = reasoner.suppose(known)
        priors = reasoner.priors(before)
        at_work = causes if causes is not None else _drawn_causes(random["causes"], priors) | wished
        drawn = draw_findings(random["findings"], reasoner.network, at_work, before.masks)
        bare, files = Survey(book, random, known, at_work, drawn).case(name, log_folder)
        made = Made(self._with_answers(bare, setting), at_work, priors, drawn, drawn, before.masks, files)
        settled = reasoner.suppose(self.known(made).facts)
        wanted = {**drawn, **{seen.finding: seen.state for seen in settled.observations}}
        told_ratio = self.rulebook.parameter("fairly-sure-ratio")
        answers = draw_answers(random["answers"], book, recorded, settled.facts, wanted, at_work, told_ratio)
        return replace(made, case=self._with_answers(made.case, answers), wanted=wanted)

    def known(self, made: Made) -> AreaFacts:
        """All that is known of the case before any rule about findings runs."""
        with made.folder() as folder:
            return gather(self.reasoner, made.case, made.area, folder)

    def level(self, made: Made) -> int:
        """The level of the case: how hard the truth is to tell once all its evidence is known."""
        beliefs = self.reasoner.believe(self.reasoner.suppose(self.known(made).facts)).posterior.marginals
        return level_of(beliefs, made.causes, self.rulebook)

    def finished(self, made: Made) -> Case:
        """The case with its key."""
        known = self.known(made)
        opinion = weigh_area(self.reasoner, made.area, known)
        return made.case.model_copy(update={"key": key_of(self.reasoner, opinion, known.facts, made.causes)})

    def _with_answers(self, case: Case, answers: Mapping[str, Value]) -> Case:
        """The case with further answers, each at the widest place at which it may stand."""
        facts: dict[str, list[Fact]] = {"dwelling": [], "visit": [], "area": []}
        for name, value in sorted(answers.items()):
            question = self.rulebook.questions[name]
            place = facts.get(question.scope, facts["area"])
            place.append(Fact(attribute=name, value=value, basis=_basis(question)))
        visit, area = case.visits[0], case.areas[0]
        visit = visit.model_copy(update={"facts": (*visit.facts, *facts["visit"])})
        area = area.model_copy(update={"facts": (*area.facts, *facts["area"])})
        dwelling = case.dwelling.model_copy(update={"facts": (*case.dwelling.facts, *facts["dwelling"])})
        return case.model_copy(update={"dwelling": dwelling, "visits": (visit,), "areas": (area,)})


def _drawn_causes(random: np.random.Generator, priors: Mapping[str, float]) -> frozenset[str]:
    lots = random.random(len(priors))
    return frozenset(cause for cause, lot in zip(priors, lots.tolist(), strict=True) if lot < priors[cause])


def _basis(question: Question) -> Basis:
    if question.who == "occupant":
        return "told"
    return "measured" if question.effort in ("meter", "laboratory") else "seen"
