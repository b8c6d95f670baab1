"""What a case calls for that keeps people from harm, and what of it was named or asked."""

from __future__ import annotations

from engine.opinion.models import AreaOpinion
from engine.practising.exercise import given
from engine.practising.models import MissedCaution, Safety
from engine.practising.subject import Subject


def safety(subject: Subject) -> Safety:
    """The cautions that the case calls for and that were not named; the questions of safety that were not asked.

    Called for are those of the key and those that the whole evidence raises, but for what holds of any house whatever.
    """
    named = set(subject.listed("cautions"))
    always = {caution.id for caution in subject.opinion(frozenset()).cautions}
    raised = {caution.id for caution in subject.opinion_whole.cautions}
    found = {caution.id for caution in subject.opinion_found.cautions}
    records = subject.rulebook.cautions
    wanted = sorted((raised | set(subject.key.cautions)) - always, key=lambda c: (records[c].rank, c))
    missed = tuple(MissedCaution(name, records[name].title, name in found) for name in wanted if name not in named)
    questions = sum(question.safety for question in subject.rulebook.questions.values())
    return Safety(missed, _unasked(subject), questions)


def _unasked(subject: Subject) -> tuple[tuple[str, bool], ...]:
    asked = {entry.data["request"]["name"] for entry in subject.asked}
    given_answers = {piece[1] for piece in given(subject.exercise, subject.rulebook)}
    alarming = {fact for line in _raising(subject.opinion_whole) for fact in line}
    return tuple(
        (question.id, question.id in alarming)
        for question in subject.rulebook.questions.values()
        if question.safety and question.id not in asked and question.id not in given_answers
    )


def _raising(opinion: AreaOpinion) -> list[set[str]]:
    """For every rule that raised a caution the attributes on which it rested."""
    rules = {rule for caution in opinion.cautions for rule in caution.rules}
    return [{item.attribute for item in line.matched} for line in opinion.trace if line.rule in rules]


def reason(subject: Subject, caution: str) -> str:
    """Why the whole evidence calls for a caution, in its rule's words; else what the caution itself says."""
    rules = next((one.rules for one in subject.opinion_whole.cautions if one.id == caution), ())
    for name in rules:
        if name in subject.rulebook.rules:
            return subject.rulebook.rules[name].because
    return subject.rulebook.cautions[caution].text
