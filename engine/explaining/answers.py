"""The answers that an area's questions could still have, or could have had, and what giving them would take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from engine.case.models import Area, Case
from engine.case.models import Fact as CaseFact
from engine.explaining.subject import Subject
from engine.inference.conditions import Condition, Outcome, bind, evaluate, tests
from engine.inference.facts import Fact, Facts, Value
from engine.inference.rules import ChainRule
from engine.opinion.reasoner import Reasoner
from engine.rulebook.compiling import compile_rules
from engine.rulebook.models import Question

SUPPOSED = "supposed"


@dataclass(frozen=True, slots=True)
class Answer:
    """A question answered in one way; ``was`` is the answer that it has now, None while it is open.

    ``minutes`` is the effort of looking (again), from the rule base's judgement of efforts.
    """

    attribute: str
    value: Value
    was: Value | None
    minutes: float

    @property
    def fact(self) -> Fact:
        """The answer as a fact, certain and seen."""
        return Fact(self.attribute, self.value, origin=SUPPOSED)


def possible_answers(subject: Subject, attributes: Iterable[str] | None = None) -> tuple[Answer, ...]:
    """Every answer that a question could have and does not have; of some attributes only, or of all.

    A question that does not apply here is left out unless it is answered already. Of a number, one value is taken from
    each stretch between the bounds that rules test. By effort, open before answered, then id.
    """
    book, facts = subject.reasoner.rulebook, subject.judged.evidence.facts
    wanted = book.questions.keys() if attributes is None else set(attributes)
    found = []
    for question in book.questions.values():
        if question.id not in wanted or question.scope == "instrument":
            continue
        held = subject.facts.get(question.id)
        if held is None and not _applies(subject.reasoner, question, facts):
            continue
        was = held.value if held else None
        minutes = book.parameter(f"effort-{question.effort}")
        found += [
            Answer(question.id, value, was, minutes)
            for value in _values(subject.reasoner, question)
            if value != was and not _same_stretch(subject.reasoner, question.id, value, was)
        ]
    return tuple(sorted(found, key=lambda a: (a.minutes, a.was is not None, a.attribute, str(a.value))))


def _applies(reasoner: Reasoner, question: Question, facts: Facts) -> bool:
    if question.applies is None:
        return True
    return evaluate(bind(question.applies, reasoner.rulebook.numbers), facts).outcome is not Outcome.FAILS


def _values(reasoner: Reasoner, question: Question) -> tuple[Value, ...]:
    if question.kind != "number":
        return question.words()
    bounds = numeric_bounds(reasoner).get(question.id, ())
    if not bounds:
        return ()
    least = question.minimum if question.minimum is not None else bounds[0] - max(abs(bounds[0]), 1.0)
    return ((least + bounds[0]) / 2, *bounds)


def _same_stretch(reasoner: Reasoner, attribute: str, value: Value, was: Value | None) -> bool:
    """Whether two numbers lie between the same bounds, so that no rule tells them apart."""
    if isinstance(value, str) or was is None or isinstance(was, str):
        return False
    bounds = numeric_bounds(reasoner).get(attribute, ())
    return sum(value >= bound for bound in bounds) == sum(was >= bound for bound in bounds)


@lru_cache(maxsize=4)
def finding_rules(reasoner: Reasoner) -> tuple[ChainRule, ...]:
    """The rules from facts to findings and over patterns of findings, in id order within each stratum."""
    return tuple(rule for stratum in ("readings", "patterns") for rule in compile_rules(reasoner.rulebook, stratum))


@lru_cache(maxsize=4)
def numeric_bounds(reasoner: Reasoner) -> Mapping[str, tuple[float, ...]]:
    """The bounds that rules and gates test, by attribute, ascending."""
    conditions: list[Condition] = [rule.when for rule in finding_rules(reasoner)]
    conditions += [condition for checks in reasoner.gates.values() for _, _, condition in checks]
    found: dict[str, set[float]] = {}
    for condition in conditions:
        for test in tests(condition):
            if test.operator == "range":
                numbers = (bound for bound in test.operand if isinstance(bound, float))
                found.setdefault(test.attribute, set()).update(numbers)
    return {name: tuple(sorted(bounds)) for name, bounds in found.items()}


def with_answers(case: Case, area: Area, answers: Mapping[str, Value]) -> tuple[Case, Area]:
    """A copy of a case in which an area's questions have these answers, certain and seen; ``unknown`` takes one away.

    An answer that some surfaces hold is changed on them; elsewhere it is given for the area. The case is not touched.
    """

    def kept(facts: tuple[CaseFact, ...]) -> tuple[CaseFact, ...]:
        return tuple(fact for fact in facts if fact.attribute not in answers)

    given = tuple(
        CaseFact(attribute=name, value=value, basis="seen") for name, value in answers.items() if value != "unknown"
    )
    surfaces = tuple(
        surface.model_copy(
            update={
                "facts": kept(surface.facts)
                + tuple(fact for fact in given if any(own.attribute == fact.attribute for own in surface.facts))
            }
        )
        for surface in area.surfaces
    )
    changed = area.model_copy(update={"facts": kept(area.facts) + given, "surfaces": surfaces})
    copy = case.model_copy(
        update={
            "dwelling": case.dwelling.model_copy(update={"facts": kept(case.dwelling.facts)}),
            "visits": tuple(visit.model_copy(update={"facts": kept(visit.facts)}) for visit in case.visits),
            "areas": tuple(changed if other.id == area.id else other for other in case.areas),
        }
    )
    return copy, changed
