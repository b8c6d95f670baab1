"""The dwelling and the place of a made-up case: everything that is known before any sign of damp is read.

Answers are drawn as often as their records say they are met, each by itself; the class of place follows from them.
The causes are then drawn from the base rates of that class times the leanings of these answers, as the engine reckons
its own priors, so that causes and setting go together exactly as the rule base has it.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from engine.inference.conditions import Outcome, attributes, evaluate
from engine.inference.facts import Facts, Value
from engine.inquiry.answers import AnswerBook
from engine.inquiry.applying import Applicability
from engine.rulebook import Rulebook
from engine.rulebook.models import Question
from engine.synthesis.implying import Implications

OF_WORKS = "effect-of-"
"""How the vocabulary names the questions that ask what some works did."""


class Questionnaire:
    """The questions of a rule base as a made-up case answers them."""

    def __init__(self, rulebook: Rulebook) -> None:
        self.rulebook = rulebook
        self.implications = Implications(rulebook)
        self.answers = AnswerBook(rulebook)
        self._applies = Applicability(rulebook).conditions
        classes = [place.when for place in rulebook.reference_classes.values() if place.when is not None]
        placing = {name for condition in classes for name in attributes(condition)}
        words = {question.id: question for question in rulebook.questions.values() if question.kind != "number"}
        settling = {
            name
            for name in words
            if any(self.implications.of_answer(name, value).states for value in self.answers.allowed[name])
        }
        self.placing = frozenset(placing & words.keys())
        self.signs = tuple(question for name, question in words.items() if name in settling)
        self.setting = tuple(
            question for name, question in words.items() if name not in settling and self._can_be_drawn(question)
        )

    def _can_be_drawn(self, question: Question) -> bool:
        """A choice of which no record says how common it is, is left open unless it leans towards some cause."""
        if question.commonness is not None or question.kind == "yes-no":
            return True
        values = self.answers.allowed[question.id]
        return question.scope != "visit" and any(
            self.implications.of_answer(question.id, value).leanings for value in values
        )

    def recorded(self, random: np.random.Generator) -> frozenset[str]:
        """The questions of which a case holds the answer, by what it takes to answer them; the place always."""
        chances = {
            effort: self.rulebook.parameter(f"recorded-{effort}")
            for effort in ("ask", "look", "meter", "climb", "open-up", "laboratory")
        }
        of_works = self.rulebook.parameter("recorded-works")
        questions = (*self.setting, *self.signs)
        lots = random.random(len(questions))
        return self.placing | {
            question.id
            for question, lot in zip(questions, lots.tolist(), strict=True)
            if lot < chances[question.effort] * (of_works if question.id.startswith(OF_WORKS) else 1)
        }

    def applies(self, question: Question, facts: Facts) -> Outcome:
        """Whether a question is one to be put on these facts."""
        condition = self._applies.get(question.id)
        return Outcome.HOLDS if condition is None else evaluate(condition, facts).outcome

    def shares(self, question: Question) -> dict[Value, float]:
        """How often each answer is met, summing to 1."""
        if question.kind == "yes-no" and question.commonness is None:
            yes = self.rulebook.parameter("synthesis-share-of-yes")
            return {"yes": yes, "no": 1 - yes}
        return self.answers.commonness(question.id)

    def draw_setting(
        self, random: np.random.Generator, recorded: frozenset[str], known: Facts, wished: frozenset[str]
    ) -> dict[str, Value]:
        """Answers to the questions that settle no finding, in turn as they come to apply.

        ``wished`` causes make the answers that lean towards them as much likelier as the leanings say.
        """
        facts, drawn = dict(known), dict[str, Value]()
        waiting = [question for question in self.setting if question.id in recorded]
        while True:
            now = [question for question in waiting if self.applies(question, facts) is Outcome.HOLDS]
            if not now:
                return drawn
            for question in now:
                value = self.pick(random, question, self.answers.allowed[question.id], wished)
                if value is not None:
                    drawn[question.id] = value
                    facts[question.id] = self.answers.fact(question.id, value)
            done = {question.id for question in now}
            waiting = [question for question in waiting if question.id not in done]

    def pick(
        self, random: np.random.Generator, question: Question, values: Iterable[Value], causes: frozenset[str]
    ) -> Value | None:
        """One of the values, by how common they are and how they lean towards the causes; None where none can be."""
        shares = self.shares(question)
        allowed = list(values)
        weights = np.array(
            [shares[v] * self.implications.of_answer(question.id, v).tilt(causes) for v in allowed], dtype=float
        )
        if weights.sum() <= 0:
            return None
        return allowed[int(random.choice(len(allowed), p=weights / weights.sum()))]
