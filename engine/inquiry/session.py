"""One area of a case being asked about: what comes next, what an answer changes, and what it would change.

The session reasons and writes through the store; it neither prints nor reads a terminal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from engine.case.changing import Change
from engine.case.journal import entries, put_off
from engine.case.models import Area, Case
from engine.case.store import Store
from engine.inference.facts import Fact, Sureness, Value
from engine.inquiry.agenda import Agenda, Depth, Next
from engine.inquiry.applying import Standing, left_aside
from engine.inquiry.knowing import Knowledge, State
from engine.inquiry.marking import NOT_APPLICABLE, fallen, mark, marks, unmarked
from engine.inquiry.marking import reason as marking_reason
from engine.inquiry.value import Worth
from engine.opinion.models import AreaOpinion
from engine.opinion.reasoner import Reasoner
from engine.opinion.resolving import UNSETTLED
from engine.opinion.weighing import gather, weigh_area
from engine.reading import FieldPath
from engine.rulebook.models import Caution, Question


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer as a person gave it; ``value`` is a word, a number, or one of unknown and not-applicable."""

    value: Value
    sureness: str = "certain"
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """The other answers that an answer touches: ``marked`` as no longer applying, ``back`` as they apply again."""

    marked: tuple[str, ...]
    back: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shift:
    """How far an answer moves the belief in one cause."""

    cause: str
    title: str
    before: float
    after: float


class Session:
    """The questions of one area of an open case.

    ``topic`` is the one being asked about; ``later`` is what is put off, in this session or an earlier one;
    ``taken_up`` is what was put off and has had its turn in this session.
    """

    def __init__(self, store: Store, reasoner: Reasoner, area: str, visit: str, depth: Depth = "full") -> None:
        self.store, self.reasoner, self.rulebook = store, reasoner, reasoner.rulebook
        self.agenda = Agenda(reasoner)
        self.knowledge = Knowledge(reasoner, store.path.parent)
        self.area_id, self.visit, self.depth = area, visit, depth
        self.topic: str | None = None
        self.opened = False
        self.later = set(put_off(store.path, area))
        self.taken_up: set[str] = set()
        self.noted: set[str] = set()
        self._state: tuple[Case, str, State] | None = None
        self._standings: tuple[State, frozenset[str], Mapping[str, Standing]] | None = None

    @property
    def case(self) -> Case:
        """The case as it is on the disk."""
        return self.store.case

    @property
    def area(self) -> Area:
        """The area that is asked about."""
        return next(area for area in self.case.areas if area.id == self.area_id)

    @property
    def state(self) -> State:
        """Where the area stands."""
        if self._state is None or self._state[0] is not self.case or self._state[1] != self.area_id:
            self._state = (self.case, self.area_id, self.knowledge.state(self.case, self.area))
        return self._state[2]

    def left(self) -> frozenset[str]:
        """What nobody could say; what only bears a note of this session, or is put off, is still to be asked."""
        return left_aside(self.case, self.area) - self.noted - self.later - self.taken_up

    def standings(self) -> Mapping[str, Standing]:
        """How every question stands."""
        state, left = self.state, self.left()
        if self._standings is None or self._standings[0] is not state or self._standings[1] != left:
            self._standings = (state, left, self.agenda.standings(state, left))
        return self._standings[2]

    def next(self) -> Next:
        """What to ask next."""
        found = self.agenda.next(
            self.state,
            self.standings(),
            self.left(),
            later=self.later,
            topic=self.topic,
            opened=self.opened,
            depth=self.depth,
            determined=self.depth == "quick" and self.firm,
        )
        if found.question is not None:
            topic = self.rulebook.questions[found.question].topic
            self.opened = self.opened and (found.phase == "safety" or topic == self.topic)
            if found.phase == "weighing":
                self.topic = topic
        return found

    def turn_to(self, area: str) -> None:
        """Ask about another area of the case."""
        self.area_id, self.topic, self.opened = area, None, False
        self.later, self.taken_up = set(put_off(self.store.path, area)), set()

    def put_off(self, name: str) -> None:
        """Leave a question for later, in this session and the next; OSError where only this session can know it."""
        self.later.add(name)
        self.store.put_off(self.area_id, self.later | self.taken_up)

    def take_up(self) -> tuple[str, ...]:
        """What was put off and is still open gets its turn, once in a session; its names."""
        waiting = sorted(
            n for n, s in self.standings().items() if n in self.later - self.taken_up and s is Standing.OPEN
        )
        self.taken_up |= self.later
        self.later.difference_update(waiting)
        return tuple(waiting)

    def open_topic(self, topic: str | None) -> None:
        """Ask about one topic until nothing in it is open; None goes back to whatever tells most."""
        self.topic, self.opened = topic, topic is not None

    @property
    def firm(self) -> bool:
        """Whether a cause or a mechanism is determined as things stand, causes outside the rule base left out."""
        return self.agenda.appraiser.firmness.determination(self.state).determined

    def best_open(self, most: int = 10) -> tuple[str, ...]:
        """The open questions that look most worth asking, the best first."""
        names = frozenset(name for name, standing in self.standings().items() if standing is Standing.OPEN)
        tally = self.agenda.appraiser.tally(self.state.facts.keys(), self.left())
        worths = self.agenda.appraiser.estimates(self.state, names, tally)
        safety = [name for name in self.agenda.safety if name in names]
        return tuple(dict.fromkeys([*safety, *(worth.question for worth in worths)]))[:most]

    def open_points(self) -> tuple[str, ...]:
        """What nobody could say, first what would tell most if it were known."""
        promises = self.agenda.appraiser.promises(self.state)
        return tuple(sorted(self.left() & promises.keys(), key=lambda name: (-sum(promises[name]), name)))

    def appraise(self, name: str) -> Worth:
        """What a question is worth as things stand."""
        tally = self.agenda.appraiser.tally(self.state.facts.keys(), self.left())
        return self.agenda.appraiser.appraise(self.state, name, tally)

    def recorded(self, name: str) -> Any | None:
        """The fact that the case holds for a question at its own place, as data; None where there is none."""
        change = self._change(name, Answer("unknown"))
        return None if change.index is None else change.before(self.store.document.data)

    def answer(self, name: str, answer: Answer, reason: str) -> Kept:
        """Put an answer on the disk; what no longer applies with it is marked first, what applies again put back.

        InvalidInput where the case would be unsound, NotSaved where it was not saved.
        """
        change = self._change(name, answer)
        if falling := self._falling(name, answer):
            self.store.check(change)
        marked = self._mark(name, falling)
        for still in (self.later, self.taken_up, self.noted):
            still.discard(name)
        self.store.put(change, reason)
        return Kept(marked, self.put_back())

    def _falling(self, name: str, answer: Answer) -> list[tuple[str, str]]:
        """The answers whose questions no longer apply with this one, each with its area; of every area it is about.

        What the dwelling or a visit says stays as long as another area may need it.
        """
        areas = [self.area] if self.rulebook.questions[name].scope == "area" else list(self.case.areas)
        new = self._fact(name, answer)
        found = []
        for area in areas:
            facts = self.knowledge.state(self.case, area).evidence.facts
            for other in fallen(self.agenda.applicability, self.case, area, facts, new):
                if self.rulebook.questions[other].scope == "area" or len(self.case.areas) == 1:
                    found.append((other, area.id))
        return found

    def _mark(self, name: str, falling: Iterable[tuple[str, str]]) -> tuple[str, ...]:
        """Mark answers as no longer applying, as far as they stand at their question's own place."""
        found: list[str] = []
        for other, area in falling:
            change = self._change(other, Answer(NOT_APPLICABLE), area)
            old = None if change.index is None else change.before(self.store.document.data)
            if old is not None:
                put = Change(change.path, (mark(old),), change.index)
                self.store.put(put, marking_reason(self.rulebook.title(name)))
                found.append(other)
        return tuple(dict.fromkeys(found))

    def put_back(self) -> tuple[str, ...]:
        """Put back the marked answers of the area whose questions apply again; their names."""
        standings = self.standings()
        facts = self.state.facts
        waiting = {n for n in facts if facts[n].value == NOT_APPLICABLE and standings.get(n) is Standing.ANSWERED}
        found: list[str] = []
        for entry in marks(entries(self.store.path)) if waiting else ():
            change = self._change(entry.attribute, Answer(NOT_APPLICABLE)) if entry.attribute in waiting else None
            if change is not None and change.path == entry.path and change.index is not None:
                old = change.before(self.store.document.data) or {}
                self.store.put(Change(change.path, (unmarked(old, entry),), change.index), "applies again")
                found.append(entry.attribute)
        return tuple(found)

    def put(self, path: FieldPath, items: Iterable[Mapping[str, Any]], reason: str) -> None:
        """Put further items at the end of a list of the case; InvalidInput and NotSaved as for `answer`."""
        self.store.put(Change(path, tuple(items)), reason)

    def _change(self, name: str, answer: Answer, area_id: str | None = None) -> Change:
        question = self.rulebook.questions[name]
        data = self.store.document.data
        visit = next(i for i, visit in enumerate(self.case.visits) if visit.id == self.visit)
        area = next(i for i, area in enumerate(self.case.areas) if area.id == (area_id or self.area_id))
        owner: tuple[str | int, ...] = {"dwelling": ("dwelling",), "visit": ("visits", visit)}.get(
            question.scope, ("areas", area)
        )
        holder = data
        for step in owner:
            holder = holder[step]
        dated = len(self.case.visits) > 1 and question.scope != "visit"
        item = self._item(question, answer, dated)
        index = None
        for number, fact in enumerate(holder.get("facts", ())):
            if fact["attribute"] == name and (not dated or fact.get("visit") == self.visit):
                index = number
        return Change((*owner, "facts"), (item,), index)

    def _item(self, question: Question, answer: Answer, dated: bool) -> dict[str, Any]:
        told = question.who == "occupant"
        measured = question.effort in ("meter", "laboratory")
        value = answer.value
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        item: dict[str, Any] = {"attribute": question.id, "value": value}
        item["basis"] = "told" if told else "measured" if measured else "seen"
        if answer.sureness != "certain":
            item["sureness"] = answer.sureness
        if dated:
            item["visit"] = self.visit
        if answer.note:
            item["note"] = answer.note
        return item

    def what_if(self, name: str, answer: Answer) -> tuple[Shift, ...]:
        """How an answer would move the beliefs, the largest shift first; nothing is written."""
        facts = {**self.state.facts}
        facts.pop(name, None)
        if (fact := self._fact(name, answer)) is not None:
            facts[name] = fact
        return self.shifts(self.state, self.knowledge.weighed(facts))

    def _fact(self, name: str, answer: Answer) -> Fact | None:
        """An answer as a fact; None for one that leaves the matter unknown."""
        if answer.value in UNSETTLED:
            return None
        return self.agenda.appraiser.answers.fact(name, answer.value, Sureness.of(answer.sureness))

    def shifts(self, before: State, after: State) -> tuple[Shift, ...]:
        """How the beliefs differ between two states, the largest shift first."""
        old, new = before.belief.posterior.marginals, after.belief.posterior.marginals
        found = [Shift(cause, self.rulebook.title(cause), old[cause], new[cause]) for cause in old]
        return tuple(sorted(found, key=lambda shift: (-abs(shift.after - shift.before), shift.cause)))

    def cautions(self, *, whole: bool = False) -> tuple[Caution, ...]:
        """The cautions that the facts call for, the gravest first; those that hang on beliefs only where ``whole``."""
        if whole:
            called = {caution.id for caution in self.opinion().cautions}
        else:
            firings = self.reasoner.advice.run(self.state.evidence.facts).firings
            called = {c.target for firing in firings for c in firing.conclusions if c.kind == "caution"}
        return tuple(sorted((self.rulebook.cautions[name] for name in called), key=lambda c: (c.rank, c.id)))

    def opinion(self) -> AreaOpinion:
        """The opinion on the area as it stands."""
        known = gather(self.reasoner, self.case, self.area, self.store.path.parent)
        return weigh_area(self.reasoner, self.area, known)
