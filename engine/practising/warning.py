"""What a review says of safety, of what leads astray, and of timber and steps; every sentence is a record."""

from __future__ import annotations

from engine.challenging.auditing import NOTHING
from engine.challenging.weighed import stated as finding_words
from engine.opinion.words import list_words
from engine.practising.guarding import reason
from engine.practising.judging import steps_too_early
from engine.practising.models import Review, Section
from engine.practising.remarks import Remarks, percent, yes_no
from engine.practising.subject import Subject
from engine.practising.traps import because, concluding, found_by, misleading, not_accounted_for, speaking_for


def safety_section(subject: Subject, review: Review, say: Remarks) -> Section:
    """Cautions that were not named and questions of safety that were not asked."""
    found = review.safety
    sentences = say.say(
        "safety",
        {
            "missed": float(len(found.missed)),
            "unasked": float(len(found.unasked)),
            "questions": float(found.questions),
        },
    )
    points: tuple[str, ...] = ()
    for one in found.missed:
        record = subject.rulebook.cautions[one.caution]
        values: dict[str, str | float] = {
            "seen": yes_no(one.seen),
            "caution": one.title,
            "because": reason(subject, one.caution),
            "defer-to": record.defer_to.rstrip("."),
        }
        points += say.say("caution-missed", values)
    for name, alarm in found.unasked:
        question = subject.rulebook.questions[name]
        answer = subject.replay.state(subject.everything).facts.get(name)
        values = {
            "alarm": yes_no(alarm),
            "question": question.prompt,
            "answer": str(answer.value).replace("-", " ") if answer else "not known",
        }
        points += say.say("safety-question", values)
    return Section("safety", sentences, points)


def traps_section(subject: Subject, review: Review, say: Remarks) -> Section:
    """The easy answer and what breaks it; what wrong causes leave open; what speaks for those missed."""
    sentences: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    found = review.trap
    if found is not None:
        title = subject.title(found.cause)
        values: dict[str, str | float] = {
            "fallen": yes_no(found.fallen),
            "sureness": percent(found.stated),
            "cause": title,
            "saying": subject.key.junior_says or title,
        }
        sentences = say.say("trap", values)
        for one in found.breaks:
            firings = concluding(subject, subject.whole, one.finding)
            values = {
                "seen": yes_no(one.seen),
                "fallen": yes_no(found.fallen),
                "finding": finding_words(one.title, one.state),
                "because": because(subject, firings),
                "tests": list_words(name for name in found_by(subject, firings) if name != one.title)
                or "asking for it",
            }
            points += say.say("trap-break", values)
    for item in review.stated:
        if item.named and not item.came_true and item.cause in review.added:
            points += _wrong(subject, item.cause, say)
    for cause in review.missed:
        if cause != NOTHING and (spoken := speaking_for(subject, cause)):
            said = {"cause": subject.title(cause), "findings": "; ".join(spoken)}
            points += say.say("missed-cause", {**said})
    return Section("traps", sentences, points)


def _wrong(subject: Subject, cause: str, say: Remarks) -> tuple[str, ...]:
    """What a cause that was named and is not at work leaves open, and the rules that pointed to it."""
    said: tuple[str, ...] = ()
    title = subject.title(cause)
    findings = not_accounted_for(subject, cause)
    if findings:
        said += say.say("wrong-cause", {"cause": title, "findings": "; ".join(findings)})
    for rule in misleading(subject, cause) if cause != NOTHING else ():
        values: dict[str, str | float] = {
            "rule": rule.title,
            "because": rule.because,
            "misleads": rule.misleads,
            "cause": title,
        }
        said += say.say("misled", values)
    return said


def judgement_section(subject: Subject, review: Review, say: Remarks) -> Section:
    """Timber and next steps."""
    sentences = say.say(
        "timber",
        {
            "judged": review.timber_judged,
            "should": review.timber_should,
            "said": review.timber.replace("-", " "),
            "should-words": review.timber_should.replace("-", " "),
        },
    )
    said = len(subject.listed("steps"))
    sentences += say.say("steps", {"missed": float(len(review.steps_missed)), "said": float(said)})
    points: tuple[str, ...] = ()
    for name in review.steps_missed:
        step = subject.rulebook.steps[name]
        points += say.say("step-missed", {"kind": step.kind, "step": step.title, "purpose": step.purpose})
    for name, reasons in steps_too_early(subject):
        points += say.say("step-too-early", {"step": subject.rulebook.title(name), "reasons": reasons})
    return Section("judgement", sentences, points)
