"""What every check works with: the rule base, what conditions may test and when, and how a fault is placed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from engine.documents import FieldPath, readable
from engine.errors import Problem
from engine.inference.conditions import bind
from engine.inference.rules import ChainRule
from engine.rulebook.book import Rulebook
from engine.rulebook.compiling import active_rules, compile_rule, observation_rules
from engine.rulebook.models import Attribute, Rule
from engine.rulebook.references import AFTER_BELIEF

ADMISSION, READINGS, PATTERNS, ADVICE = "admission", "readings", "patterns", "advice"
STRATA = (ADMISSION, READINGS, PATTERNS, ADVICE)


@dataclass(frozen=True, slots=True)
class Term:
    """What a condition may test: its values, and from which stratum on it may be there and is settled.

    ``words`` is empty for a number. ``is_a`` is question, measure, finding or belief.
    """

    id: str
    is_a: str
    words: tuple[str, ...]
    unit: str | None
    minimum: float | None
    maximum: float | None
    first: int
    settled: int
    scope: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """A compiled rule, and the record and field from which it comes; ``stratum`` by its place in STRATA."""

    rule: ChainRule
    record: str
    path: FieldPath
    stratum: int

    @property
    def made(self) -> bool:
        """Whether nobody wrote the rule: a finding's ``observed_by`` makes it."""
        return self.rule.id != self.record


class Inspection:
    """A rule base under check."""

    def __init__(self, rulebook: Rulebook) -> None:
        self.rulebook = rulebook
        self._at_fault: dict[str, set[FieldPath]] = {}

    def problem(
        self, record: str, path: FieldPath, found: str, allowed: str, advice: str = "", close: str | None = None
    ) -> Problem:
        """A fault of a record at the line of the part concerned; `at_fault` then knows of it."""
        self._at_fault.setdefault(record, set()).add(path)
        place = self.rulebook.places.get(record)
        if place is not None:
            file, line = place.document.name, place.line(path)
        else:
            file, _, number = self.rulebook.origin.get(record, "").rpartition(":")
            line = int(number) if number.isdecimal() else None
        field = ".".join(part for part in (record, readable(path)) if part)
        return Problem(file, line, field, found, allowed, advice, close)

    def at_fault(self, record: str, *part: str | int) -> bool:
        """Whether a fault was found in this part of a record, so that what follows from it need not be said."""
        return any(path[: len(part)] == part for path in self._at_fault.get(record, ()))

    def at(self, record: str) -> str:
        """File and line of a record, for naming it in a message about another."""
        return self.rulebook.origin.get(record, "")

    def broken(self, name: str) -> bool:
        """Whether a name belongs to a record that could not be read, so that nothing can be said about it."""
        return name in self.rulebook.broken

    @cached_property
    def rules(self) -> tuple[Rule, ...]:
        """The rules that are not retired."""
        return active_rules(self.rulebook)

    @cached_property
    def sources(self) -> tuple[Source, ...]:
        """Every rule that can be compiled, written or made by an observation, in id order."""
        made = []
        for rule in self.rules:
            try:
                compiled = compile_rule(self.rulebook, rule)
            except (KeyError, ValueError):
                continue
            made.append(Source(compiled, rule.id, ("when",), STRATA.index(rule.stratum)))
        for finding in self.rulebook.findings.values():
            try:
                observed = observation_rules(self.rulebook, finding)
            except (KeyError, ValueError):
                continue
            made += [Source(rule, finding.id, ("observed_by",), 1) for rule in observed]
        return tuple(sorted(made, key=lambda source: source.rule.id))

    @cached_property
    def concluded(self) -> Mapping[str, frozenset[int]]:
        """For each finding the strata (places in STRATA) of the rules that conclude it."""
        strata: dict[str, set[int]] = {}
        for rule in self.rules:
            for conclusion in rule.conclude:
                if conclusion.finding is not None:
                    strata.setdefault(conclusion.finding, set()).add(STRATA.index(rule.stratum))
        for finding in self.rulebook.findings.values():
            if finding.observed_by:
                strata.setdefault(finding.id, set()).add(STRATA.index(READINGS))
        return {name: frozenset(found) for name, found in strata.items()}

    @cached_property
    def terms(self) -> Mapping[str, Term]:
        """Everything that some condition may test, by name."""
        terms = [_attribute_term(attribute) for attribute in self.rulebook.attributes.values()]
        for finding in self.rulebook.findings.values():
            strata = self.concluded.get(finding.id, frozenset())
            first, settled = (max(strata), max(strata) + 1) if strata else (1, 1)
            terms.append(Term(finding.id, "finding", finding.states(), None, None, None, first, settled))
        terms += _belief_terms(self.rulebook)
        return {term.id: term for term in terms}

    def bound(self, rule: Rule) -> ChainRule | None:
        """A rule bound to the parameters; None when it names one that is not there."""
        try:
            return ChainRule(rule.id, bind(rule.when, self.rulebook.numbers), (), rule.priority)
        except KeyError:
            return None


def _attribute_term(attribute: Attribute) -> Term:
    is_a = "measure" if hasattr(attribute, "computed_by") else "question"
    first = 0 if attribute.scope == "instrument" else 1
    words = attribute.words()
    return Term(
        attribute.id, is_a, words, attribute.unit, attribute.minimum, attribute.maximum, first, first, attribute.scope
    )


def _belief_terms(rulebook: Rulebook) -> list[Term]:
    """What the advice stratum knows besides: the outcome of the weighing."""
    after = STRATA.index(ADVICE)

    def words(name: str, *values: str) -> Term:
        return Term(name, "belief", values, None, None, None, after, after)

    def share(name: str) -> Term:
        return Term(name, "belief", (), "probability", 0.0, 1.0, after, after)

    terms = [words(name, *values) for name, values in AFTER_BELIEF.items()]
    for cause in rulebook.causes:
        terms += [share(f"belief.{cause}"), words(f"leading.{cause}", "yes", "no")]
        terms += [words(f"open.{cause}", "yes", "no"), words(f"gate.{cause}", "made", "open")]
    return [*terms, *(share(f"mechanism.{mechanism}") for mechanism in rulebook.mechanisms)]


def listed(names: Iterable[str], at_most: int = 12) -> str:
    """Names for a message, in their order; when there are many, some of them and how many more."""
    names = list(names)
    if len(names) <= at_most:
        return ", ".join(names)
    return f"{', '.join(names[:at_most])} and {len(names) - at_most} more"
