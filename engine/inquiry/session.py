"""One area of a case being asked about: what comes next, what an answer changes, and what it would change.

The session reasons and writes through the store; it neither prints nor reads a terminal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from engine.case.changing import Change
from engine.case.models import Area, Case
from engine.case.store import Store
from engine.inference.facts import Fact, Sureness, Value
from engine.inquiry.agenda import Agenda, Depth, Next
from engine.inquiry.applying import Standing, left_aside
from engine.inquiry.knowing import Knowledge, State
from engine.inquiry.value import Worth
from engine.opinion.determining import determine, gate_state
from engine.opinion.models import AreaOpinion
from engine.opinion.reasoner import Reasoner
from engine.opinion.resolving import lowered
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
class Shift:
    """How far an answer moves the belief in one cause."""

    cause: str
    title: str
    before: float
    after: float


class Session:
    """The questions of one area of an open case. ``topic`` is the one being asked about, ``later`` what is put off."""

    def __init__(self, store: Store, reasoner: Reasoner, area: str, visit: str, depth: Depth = "full") -> None:
        self.store, self.reasoner, self.rulebook = store, reasoner, reasoner.rulebook
        self.agenda = Agenda(reasoner)
        self.knowledge = Knowledge(reasoner, store.path.parent)
        self.area_id, self.visit, self.depth = area, visit, depth
        self.topic: str | None = None
        self.opened = False
        self.later: set[str] = set()
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
        """What nobody could say; what only bears a note of this session is still to be asked."""
        return left_aside(self.case, self.area) - self.noted

    def standings(self) -> Mapping[str, Standing]:
        """How every question stands."""
        state, left = self.state, self.left()
        if self._standings is None or self._standings[0] is not state or self._standings[1] != left:
            self._standings = (state, left, self.agenda.standings(state, left))
        return self._standings[2]

    def next(self) -> Next:
        """What to ask next."""
        determined = self.depth == "quick" and self._determined(self.state)
        found = self.agenda.next(
            self.state,
            self.standings(),
            self.left(),
            later=self.later,
            topic=self.topic,
            opened=self.opened,
            depth=self.depth,
            determined=determined,
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
        self.later.clear()

    def open_topic(self, topic: str) -> None:
        """Ask about one topic until nothing in it is open."""
        self.topic, self.opened = topic, True

    def _determined(self, state: State) -> bool:
        gates = {cause: gate_state(self.reasoner, cause, state.evidence.facts) for cause in self.rulebook.causes}
        return determine(self.reasoner, state.evidence, state.belief, state.facts, gates, unknown=False).determined

    def best_open(self, most: int = 10) -> tuple[str, ...]:
        """The open questions that look most worth asking, the best first."""
        names = frozenset(name for name, standing in self.standings().items() if standing is Standing.OPEN)
        tally = self.agenda.appraiser.tally(self.state.facts.keys(), self.left())
        worths = self.agenda.appraiser.estimates(self.state, names, tally)
        safety = [name for name in self.agenda.safety if name in names]
        return tuple(dict.fromkeys([*safety, *(worth.question for worth in worths)]))[:most]

    def appraise(self, name: str) -> Worth:
        """What a question is worth as things stand."""
        tally = self.agenda.appraiser.tally(self.state.facts.keys(), self.left())
        return self.agenda.appraiser.appraise(self.state, name, tally)

    def recorded(self, name: str) -> Any | None:
        """The fact that the case holds for a question at its own place, as data; None where there is none."""
        change = self._change(name, Answer("unknown"))
        return None if change.index is None else change.before(self.store.document.data)

    def answer(self, name: str, answer: Answer, reason: str) -> None:
        """Put an answer on the disk. InvalidInput where the case would be unsound, NotSaved where it was not saved."""
        self.later.discard(name)
        self.noted.discard(name)
        self.store.put(self._change(name, answer), reason)

    def put(self, path: FieldPath, items: Iterable[Mapping[str, Any]], reason: str) -> None:
        """Put further items at the end of a list of the case; InvalidInput and NotSaved as for `answer`."""
        self.store.put(Change(path, tuple(items)), reason)

    def _change(self, name: str, answer: Answer) -> Change:
        question = self.rulebook.questions[name]
        data = self.store.document.data
        visit = next(i for i, visit in enumerate(self.case.visits) if visit.id == self.visit)
        area = next(i for i, area in enumerate(self.case.areas) if area.id == self.area_id)
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
        if answer.value != "unknown":
            told = self.rulebook.questions[name].who == "occupant"
            sureness = Sureness.of(answer.sureness)
            facts[name] = Fact(name, answer.value, lowered(sureness) if told else sureness, not told, "supposed")
        return self.shifts(self.state, self.knowledge.weighed(facts))

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
