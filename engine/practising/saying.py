"""What a review says, section by section; every sentence is a record of the rule base."""

from __future__ import annotations

from dataclasses import replace

from engine.challenging.auditing import NOTHING
from engine.opinion.words import about, list_words
from engine.practising.costs import minutes_words, money_words
from engine.practising.judging import parting_steps
from engine.practising.models import Review, Section
from engine.practising.progress import Progress, calibration
from engine.practising.remarks import Remarks, percent, yes_no
from engine.practising.subject import Subject
from engine.practising.warning import judgement_section, safety_section, traps_section
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
        safety_section(subject, review, say),
        traps_section(subject, review, say),
        judgement_section(subject, review, say),
        Section("lesson", say.say("lesson", {"lesson": subject.exercise.lesson}) if subject.exercise.lesson else ()),
    )
    return replace(review, sections=tuple(one for one in made if one.sentences or one.points))


def _titles(subject: Subject, causes: tuple[str, ...]) -> str:
    return list_words(subject.title(cause) for cause in causes) or subject.title(NOTHING)


def _cause(subject: Subject, review: Review, say: Remarks) -> Section:
    named = tuple(item.cause for item in review.stated if item.named)
    sentences = say.say(
        "verdict",
        {
            "verdict": review.verdict,
            "nothing-wets": yes_no(not review.truth),
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
            "determined": yes_no(review.settled_by_key),
            "evidence-determined": yes_no(review.settled_by_evidence),
            "verdict": review.verdict,
            "sureness": percent(max(subject.named.values(), default=0.0)),
            "parting-steps": list_words(parting) or "none that this rule base knows",
        },
    )
    return Section("cause", sentences)


def _confidence(subject: Subject, review: Review, say: Remarks, history: Progress) -> Section:
    points: tuple[str, ...] = ()
    for item in review.stated:
        if item.named:
            values: dict[str, str | float] = {
                "came-true": yes_no(item.came_true),
                "sureness": percent(item.stated),
                "carried": percent(item.carried),
                "carried-words": about(item.carried),
                "cause": item.title,
            }
            points += say.say("confidence", values)
    sentences = say.say("brier", {"brier": round(review.brier, 2), "forecasts": float(len(review.stated))})
    return Section("confidence", (*sentences, *_history(review, say, history)), points)


def _history(review: Review, say: Remarks, history: Progress) -> tuple[str, ...]:
    """What is said of all the practice so far, this exercise with it."""
    stated = [(item.stated, item.came_true, item.named) for item in review.stated]
    found = calibration([*history.forecasts, *stated])
    if found is None:
        return ()
    cases = history.reviewed + 1
    values: dict[str, str | float] = {
        "cases": f"{cases} case{'' if cases == 1 else 's'}",
        "forecasts": float(found.forecasts),
        "over-sure": percent(found.over_sure),
        "mean-said": f"{percent(found.mean_stated):.0f} %",
        "share-true": f"{percent(found.share_true):.0f} %",
        "brier": f"{found.parts.brier:.2f}",
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
            "reached": yes_no(found.reached),
            "best-reached": yes_no(found.best_reached),
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
