"""The questions asked beside the best order: that of the inquiry, which asks by worth for the effort."""

from __future__ import annotations

from engine.inquiry.agenda import Agenda
from engine.inquiry.applying import Standing
from engine.inquiry.knowing import State
from engine.opinion.determining import Determination, determine, gate_state
from engine.opinion.weighing import judge
from engine.practising.costs import cost
from engine.practising.exercise import given
from engine.practising.models import Order, OrderedQuestion
from engine.practising.pieces import QUESTION, Piece, answer_pieces, measured_pieces
from engine.practising.subject import Subject

MOST_PROMPTS = 60
"""How many questions the best order may put before it counts as not getting there."""

_Outcome = tuple[bool, str, tuple[str, ...]]


def order(subject: Subject) -> Order:
    """How the trainee's questions led to what the whole evidence says, beside those of the best order."""
    wanted = _outcome(judge(subject.reasoner, subject.whole.facts).determination)
    best, best_reached = _best(subject, wanted)
    reached, minutes = _reached(subject, wanted)
    places = _places(subject)
    late_by = subject.rulebook.parameter("practice-late-by")
    listed = []
    for place, name in enumerate(best, start=1):
        asked = places.get(name)
        late = asked is not None and asked - place > late_by
        listed.append(OrderedQuestion(name, subject.rulebook.title(name), place, asked, late))
    in_time = sum(one.asked_as is not None and not one.late for one in listed)
    return Order(
        reached=reached,
        minutes=minutes,
        best_reached=best_reached,
        best_minutes=sum(cost(subject.rulebook, subject.rulebook.questions[name].effort).minutes for name in best),
        best=tuple(listed),
        early=in_time / len(listed) if listed else 1.0,
    )


def _outcome(found: Determination) -> _Outcome:
    leads = found.leading_mechanisms if found.level == "mechanism" else found.leading
    return found.determined, found.level, tuple(sorted(leads))


def _is(subject: Subject, state: State, wanted: _Outcome) -> bool:
    """Whether a state comes to what is wanted; the long look, at what does not fit, only where all else agrees."""
    level = subject.rulebook.parameter("determined-at-least")
    likely = {cause for cause, belief in state.beliefs.items() if belief >= level}
    if wanted[1] == "cause" and likely != set(wanted[2]):
        return False
    gates = {cause: gate_state(subject.reasoner, cause, state.evidence.facts) for cause in subject.rulebook.causes}
    quick = determine(subject.reasoner, state.evidence, state.belief, state.facts, gates, unknown=False)
    return _outcome(quick) == wanted and _outcome(judge(subject.reasoner, state.facts).determination) == wanted


def _best(subject: Subject, wanted: _Outcome) -> tuple[list[str], bool]:
    """The questions that the inquiry puts and the case answers, until what is wanted stands; and whether it does.

    Everything measured is there from the start, and the answers to questions of safety, which come before any order.
    Where nothing is to be reached, the questions go on as long as one is worth asking.
    """
    rulebook, agenda = subject.rulebook, Agenda(subject.reasoner, on_site=True)
    case, area = subject.exercise.case, subject.exercise.area
    held = {piece[1] for piece in answer_pieces(case, area)}
    seen: frozenset[Piece] = given(subject.exercise, rulebook) | measured_pieces(case, area)
    seen |= {(QUESTION, name) for name in held & set(agenda.safety)}
    left = set(agenda.safety) - held
    state, topic = subject.replay.state(seen), None
    asked: list[str] = []
    for _ in range(MOST_PROMPTS):
        if wanted[0] and _is(subject, state, wanted):
            return asked, True
        standings = agenda.standings(state, left)
        name = agenda.next(state, standings, left, topic=topic).question
        if name is None or standings[name] is not Standing.OPEN:
            break
        topic = rulebook.questions[name].topic
        if name in held:
            asked.append(name)
            seen |= {(QUESTION, name)}
            state = subject.replay.state(seen)
        else:
            left.add(name)
    return asked, wanted[0] and _is(subject, state, wanted)


def _reached(subject: Subject, wanted: _Outcome) -> tuple[bool, float]:
    """Whether what was asked for led to what is wanted, and the minutes of questions until it first did."""
    seen = given(subject.exercise, subject.rulebook)
    minutes = 0.0
    for entry in subject.asked:
        seen |= {tuple(piece) for piece in entry.data["pieces"]}
        name = entry.data["request"]["name"] if entry.data["request"]["kind"] == "question" else ""
        if name and not subject.rulebook.questions[name].safety:
            minutes += entry.cost.minutes
        if entry.data["pieces"] and wanted[0] and _is(subject, subject.replay.state(seen), wanted):
            return True, minutes
    return False, minutes


def _places(subject: Subject) -> dict[str, int]:
    """The place of every question among those asked, questions of safety left out."""
    found: dict[str, int] = {}
    for entry in subject.asked:
        name = entry.data["request"]["name"]
        if entry.data["request"]["kind"] == "question" and not subject.rulebook.questions[name].safety:
            found.setdefault(name, len(found) + 1)
    return found
