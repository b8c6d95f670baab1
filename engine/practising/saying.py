"""What a review says, section by section; every sentence is a record of the rule base."""

from __future__ import annotations

from dataclasses import replace

from engine.challenging.auditing import NOTHING
from engine.challenging.weighed import stated as finding_words
from engine.opinion.words import about, list_words
from engine.practising.costs import minutes_words, money_words
from engine.practising.guarding import reason
from engine.practising.judging import parting_steps, steps_too_early
from engine.practising.models import Review, Section
from engine.practising.progress import Progress, calibration
from engine.practising.remarks import Remarks
from engine.practising.subject import Subject
from engine.practising.traps import because, concluding, found_by, misleading, not_accounted_for, speaking_for
from engine.practising.worth import idle_entries

MOST_TOLD, MOST_MISSED, MOST_ORDERED = 5, 6, 8
"""How much of the evidence and of the best order is named."""


def sections(subject: Subject, review: Review, history: Progress) -> Review:
    """The review with what is said of it."""
    say = Remarks(subject.rulebook)
    made = (
        _cause(subject, review, say),
        _confidence(subject, review, say, history),
        _evidence(subject, review, say),
        _order(review, say),
        _safety(subject, review, say),
        _traps(subject, review, say),
        _judgement(subject, review, say),
        Section("lesson", say.say("lesson", {"lesson": subject.exercise.lesson}) if subject.exercise.lesson else ()),
    )
    return replace(review, sections=tuple(one for one in made if one.sentences or one.points))


def _titles(subject: Subject, causes: tuple[str, ...]) -> str:
    return list_words(subject.title(cause) for cause in causes) or subject.title(NOTHING)


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _percent(probability: float) -> float:
    return float(round(100 * probability))


def _cause(subject: Subject, review: Review, say: Remarks) -> Section:
    named = tuple(item.cause for item in review.stated if item.named)
    sentences = say.say(
        "verdict",
        {
            "verdict": review.verdict,
            "nothing-wets": _yes(not review.truth),
            "named": _titles(subject, named),
            "truth": _titles(subject, review.truth),
            "missed": _titles(subject, review.missed),
            "added": _titles(subject, review.added),
        },
    )
    parting = [subject.rulebook.title(step) for step in parting_steps(subject)]
    sentences += say.say(
        "openness",
        {
            "determined": _yes(review.settled_by_key),
            "evidence-determined": _yes(review.settled_by_evidence),
            "verdict": review.verdict,
            "sureness": _percent(max(subject.named.values(), default=0.0)),
            "parting-steps": list_words(parting) or "none that this rule base knows",
        },
    )
    return Section("cause", sentences)


def _confidence(subject: Subject, review: Review, say: Remarks, history: Progress) -> Section:
    points: tuple[str, ...] = ()
    for item in review.stated:
        if item.named:
            values: dict[str, str | float] = {
                "came-true": _yes(item.came_true),
                "sureness": _percent(item.stated),
                "carried": _percent(item.carried),
                "carried-words": about(item.carried),
                "cause": item.title,
            }
            points += say.say("confidence", values)
    sentences = say.say("brier", {"brier": round(review.brier, 2), "forecasts": float(len(review.stated))})
    return Section("confidence", (*sentences, *_history(review, say, history)), points)


def _history(review: Review, say: Remarks, history: Progress) -> tuple[str, ...]:
    """What is said of all the practice so far, this exercise with it."""
    earlier = history.calibration
    pairs = [(item.stated, item.came_true) for item in review.stated]
    count = len(pairs) + (earlier.forecasts if earlier else 0)
    own = calibration(pairs)
    if own is None:
        return ()
    shares = [(own, len(pairs)), *([(earlier, earlier.forecasts)] if earlier else [])]
    mean = sum(one.mean_stated * number for one, number in shares) / count
    true = sum(one.share_true * number for one, number in shares) / count
    score = sum(one.parts.brier * number for one, number in shares) / count
    cases = history.reviewed + 1
    values: dict[str, str | float] = {
        "cases": f"{cases} case{'' if cases == 1 else 's'}",
        "forecasts": float(count),
        "over-sure": _percent(mean - true),
        "mean-said": f"{_percent(mean):.0f} %",
        "share-true": f"{_percent(true):.0f} %",
        "brier": f"{score:.2f}",
    }
    return say.say("history", values)


def _evidence(subject: Subject, review: Review, say: Remarks) -> Section:
    idle = sum(entry.cost.minutes for entry, _ in idle_entries(subject, review.replay))
    sentences = say.say(
        "evidence",
        {
            "items": float(review.items),
            "idle": float(review.idle),
            "idle-share": 100 * review.idle / max(review.items, 1),
            "unanswered": float(review.unanswered),
            "minutes": minutes_words(review.minutes),
            "money": money_words(review.pounds),
            "idle-minutes": minutes_words(idle),
        },
    )
    points: tuple[str, ...] = ()
    for told in review.told[:MOST_TOLD]:
        points += say.say("evidence-told", {"item": _item(told.title, told.answer), "bits": round(told.bits, 2)})
    for one in review.missed_evidence[:MOST_MISSED]:
        why = subject.rulebook.questions[one.id].why if one.id in subject.rulebook.questions else ""
        values: dict[str, str | float] = {
            "item": _item(one.title, one.answer),
            "bits": round(one.bits, 2),
            "cost": one.cost,
            "why": why,
        }
        points += say.say("evidence-missed", values)
    sentences += say.say("evidence-complete", {"missed": float(len(review.missed_evidence))})
    return Section("evidence", sentences, points)


def _item(title: str, answer: str) -> str:
    return f"{title}: {answer.rstrip('.')}" if answer else title


def _order(review: Review, say: Remarks) -> Section:
    found = review.order
    sentences = say.say(
        "order",
        {
            "reached": _yes(found.reached),
            "best-reached": _yes(found.best_reached),
            "ratio": found.minutes / max(found.best_minutes, 1.0),
            "early": 100 * found.early,
            "minutes": minutes_words(found.minutes),
            "best-minutes": minutes_words(found.best_minutes),
            "best-items": float(len(found.best)),
        },
    )
    points: tuple[str, ...] = ()
    for one in found.best[:MOST_ORDERED]:
        values: dict[str, str | float] = {
            "asked": "never" if one.asked_as is None else "late" if one.late else "in-time",
            "place": float(one.asked_as or 0),
            "best-place": float(one.place),
            "item": one.title,
        }
        points += say.say("order-item", values)
    return Section("order", sentences, points)


def _safety(subject: Subject, review: Review, say: Remarks) -> Section:
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
            "seen": _yes(one.seen),
            "caution": one.title,
            "because": reason(subject, one.caution),
            "defer-to": record.defer_to.rstrip("."),
        }
        points += say.say("caution-missed", values)
    for name, alarm in found.unasked:
        question = subject.rulebook.questions[name]
        answer = subject.replay.state(subject.everything).facts.get(name)
        values = {
            "alarm": _yes(alarm),
            "question": question.prompt,
            "answer": str(answer.value).replace("-", " ") if answer else "not known",
        }
        points += say.say("safety-question", values)
    return Section("safety", sentences, points)


def _traps(subject: Subject, review: Review, say: Remarks) -> Section:
    sentences: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    found = review.trap
    if found is not None:
        title = subject.title(found.cause)
        values: dict[str, str | float] = {
            "fallen": _yes(found.fallen),
            "sureness": _percent(found.stated),
            "cause": title,
            "saying": subject.key.junior_says or title,
        }
        sentences = say.say("trap", values)
        for one in found.breaks:
            firings = concluding(subject, subject.whole, one.finding)
            values = {
                "seen": _yes(one.seen),
                "fallen": _yes(found.fallen),
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


def _judgement(subject: Subject, review: Review, say: Remarks) -> Section:
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
