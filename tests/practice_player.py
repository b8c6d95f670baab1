"""Trainees for practice: exercises of worked cases, and whoever practises on them by a plan."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from engine.case import read_case
from engine.inquiry.agenda import Agenda
from engine.inquiry.applying import Standing
from engine.opinion.casebook import own_casebook
from engine.practising.asking import Request
from engine.practising.exercise import Source, exercise
from engine.practising.measuring import instruments
from engine.practising.pieces import answer_pieces
from engine.practising.progress import progress
from engine.practising.record import Record
from engine.practising.replay import Replay
from engine.practising.reviewing import review
from engine.practising.session import Practice


def clock():
    """The same moment at every call."""
    return datetime(2026, 3, 12, 9, 30)


def worked(name, rulebook, area=None):
    """An exercise on a worked case by the name of its file."""
    path = next(own_casebook().glob(f"*/{name}.yaml"))
    return exercise(Source("casebook", name), read_case(path, vocabulary=rulebook), area, path.parent)


def all_worked(rulebook):
    """Every area of every worked case, the frozen ones too, as an exercise."""
    for path in sorted(own_casebook().glob("*/*.yaml")):
        case = read_case(path, vocabulary=rulebook)
        for key in case.key.areas:
            yield exercise(Source("casebook", path.stem), case, key.area, path.parent)


def measurements(one):
    """Every measurement that can be asked for in an exercise: all that was read, piece by piece of equipment."""
    found = [Request(kind) for kind in ("air", "surface", "samples", "timber", "loggers")]
    for instrument in instruments(one):
        found.append(Request("check", instrument.id))
        found.append(Request("dry", instrument.id))
        for surface in one.area.surfaces:
            columns = sorted({r.x_mm for r in surface.readings if r.instrument == instrument.id})
            found += [Request("press", instrument.id, surface.id, x) for x in columns]
    return found + [Request("plan", "", surface.id) for surface in one.area.surfaces]


class Trainee:
    """Practises on one exercise; the record lies in a folder of its own."""

    def __init__(self, one, reasoner, folder: Path):
        self.reasoner, self.exercise = reasoner, one
        self.record = Record(folder, clock)
        self.practice = Practice(self.record, one, reasoner.rulebook)

    def measure(self):
        """Everything that can be measured."""
        for request in measurements(self.exercise):
            self.practice.ask(request, request.kind)

    def ask(self, *names):
        """Questions by name."""
        for name in names:
            self.practice.ask(Request("question", name), name)

    def ask_everything(self):
        """Every question of the rule base, in the order of the alphabet."""
        self.ask(*self.reasoner.rulebook.questions)

    def follow_the_inquiry(self, most=40):
        """Safety first, then what the inquiry would ask, until it would ask no more; what is unknown is left."""
        agenda, replay = Agenda(self.reasoner, on_site=True), Replay(self.reasoner, self.exercise)
        held = {piece[1] for piece in answer_pieces(self.exercise.case, self.exercise.area)}
        self.ask(*agenda.safety)
        left, topic = set(agenda.safety) - held, None
        for _ in range(most):
            state = replay.state(self.practice.seen)
            standings = agenda.standings(state, left)
            name = agenda.next(state, standings, left, topic=topic).question
            if name is None or standings[name] is not Standing.OPEN:
                return
            topic = self.reasoner.rulebook.questions[name].topic
            self.ask(name)
            if name not in held:
                left.add(name)

    def conclude(self, causes, timber="not-inspected", steps=(), cautions=()):
        """The conclusion, and the review of it."""
        for part, value in (("causes", causes), ("timber", [timber]), ("steps", steps), ("cautions", cautions)):
            self.practice.conclude(part, "", value)
        return self.review()

    def review(self):
        """The review as things stand."""
        return review(self.reasoner, self.exercise, tuple(self.practice.entries), progress(self.record))
