"""The review of a concluded exercise, put together: the figures, then what the records have to say of them."""

from __future__ import annotations

from engine.opinion.reasoner import Reasoner
from engine.practising.exercise import Exercise
from engine.practising.guarding import safety
from engine.practising.judging import settled, stated_causes, steps_missed, steps_too_early, timber, verdict
from engine.practising.models import Review
from engine.practising.ordering import order
from engine.practising.progress import Progress
from engine.practising.record import Entry
from engine.practising.replay import moments
from engine.practising.saying import sections
from engine.practising.subject import subject
from engine.practising.traps import trap
from engine.practising.worth import idle_entries, missed, told


def review(reasoner: Reasoner, exercise: Exercise, entries: tuple[Entry, ...], history: Progress) -> Review:
    """The review of a concluded exercise; ``history`` is the trainee's, without this exercise.

    ValueError where the exercise's key is kept apart and was not given.
    """
    about = subject(reasoner, exercise, entries)
    stated = stated_causes(about)
    judged, missed_causes, added = verdict(about, stated)
    timber_said, timber_should, timber_judged = timber(about)
    replayed = moments(about.replay, entries, about.whole)
    found = Review(
        verdict=judged,
        truth=about.key.truth,
        missed=missed_causes,
        added=added,
        stated=stated,
        brier=sum((item.stated - item.came_true) ** 2 for item in stated) / max(len(stated), 1),
        settled_by_key=about.key.determined,
        settled_by_evidence=settled(about),
        items=len(about.asked),
        idle=len(idle_entries(about, replayed)),
        unanswered=sum(not entry.data["pieces"] for entry in about.asked),
        minutes=sum(entry.cost.minutes for entry in entries),
        pounds=sum(entry.cost.pounds for entry in entries),
        told=told(replayed, about.rulebook.parameter("practice-idle-below")),
        missed_evidence=missed(about),
        order=order(about),
        safety=safety(about),
        trap=trap(about),
        timber=timber_said,
        timber_should=timber_should,
        timber_judged=timber_judged,
        steps_missed=steps_missed(about),
        steps_too_early=tuple(name for name, _ in steps_too_early(about)),
        replay=replayed,
        sections=(),
        invented=exercise.invented,
        grade=about.key.grade,
    )
    return sections(about, found, history)
