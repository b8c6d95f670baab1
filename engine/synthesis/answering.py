"""Answers to the questions that settle findings, so that these come out as drawn by the rules themselves.

An answer is taken when what it implies agrees with the drawn findings and contradicts none; of several, by how common
they are and how they lean. Where every answer would contradict something, the question is left open: nobody could
say. What is told is wrong as often as its sureness says (virtual evidence, Pearl 1988), so that an occupant of a
made-up case is as much to be believed as the engine believes any.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from engine.inference.conditions import Outcome
from engine.inference.facts import Fact, Facts, Value
from engine.rulebook.models import Question
from engine.synthesis.setting import Questionnaire


def draw_answers(
    random: np.random.Generator,
    book: Questionnaire,
    recorded: frozenset[str],
    known: Facts,
    wanted: Mapping[str, str],
    causes: frozenset[str],
    told_ratio: float,
) -> dict[str, Value]:
    """Answers to the recorded questions that settle findings, in turn as they come to apply on what is ``known``."""
    facts = {**known, **{name: Fact(name, state) for name, state in wanted.items()}}
    drawn: dict[str, Value] = {}
    waiting = [question for question in book.signs if question.id in recorded]
    while True:
        now = [q for q in waiting if book.applies(q, facts) is Outcome.HOLDS]
        if not now:
            return drawn
        for question in now:
            value = _answer(random, book, question, wanted, causes, told_ratio)
            if value is not None:
                drawn[question.id] = value
                facts[question.id] = book.answers.fact(question.id, value)
        done = {question.id for question in now}
        waiting = [question for question in waiting if question.id not in done]


def _answer(
    random: np.random.Generator,
    book: Questionnaire,
    question: Question,
    wanted: Mapping[str, str],
    causes: frozenset[str],
    told_ratio: float,
) -> Value | None:
    values = book.answers.allowed[question.id]
    implied = {value: book.implications.of_answer(question.id, value) for value in values}
    scores = {value: implied[value].agreement(wanted) for value in values}
    right = max((score[0] for score in scores.values() if score[1] == 0), default=0)
    if right == 0:
        return None
    true = book.pick(random, question, [value for value in values if scores[value] == (right, 0)], causes)
    if question.who == "occupant" and random.random() < 1 / (1 + told_ratio):
        others = [value for value in values if value != true]
        return others[int(random.integers(len(others)))]
    return true
