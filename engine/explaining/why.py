"""Why a cause is believed as it is: from each raw observation through rules and findings to weight, as a tree."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.explaining.subject import Subject
from engine.explaining.wording import fact_words
from engine.inference.chaining import Firing
from engine.inference.facts import Fact, Value
from engine.opinion.models import Exclusion
from engine.rulebook.models import Measure
from engine.rulebook.telling import cited


@dataclass(frozen=True, slots=True)
class FactNode:
    """A fact that a rule rested on, ``said`` in words; a finding with its rules, a measure with how it is reckoned."""

    attribute: str
    title: str
    value: Value
    sureness: str
    origin: str
    said: str
    reckoned: str
    rules: tuple[RuleNode, ...]


@dataclass(frozen=True, slots=True)
class RuleNode:
    """A rule that fired; ``record`` is its id, or the finding's where ``observed_by`` made the rule."""

    record: str
    title: str
    observed: bool
    because: str
    sureness: str
    sources: tuple[str, ...]
    facts: tuple[FactNode, ...]


@dataclass(frozen=True, slots=True)
class Contribution:
    """A finding's weight for (positive) or against a cause [dB], by re-weighing without it, and the rules behind it."""

    finding: str
    title: str
    state: str
    sureness: str
    decibans: float
    rules: tuple[RuleNode, ...]


@dataclass(frozen=True, slots=True)
class Lean:
    """A rule's leaning towards (positive) or away from a cause [dB]."""

    decibans: float
    rule: RuleNode


@dataclass(frozen=True, slots=True)
class Excluded:
    """An exclusion and the rule that made it."""

    exclusion: Exclusion
    rule: RuleNode


@dataclass(frozen=True, slots=True)
class Why:
    """All that made the belief in a cause: how common it is, what leans, what the findings weigh, what excludes it."""

    cause: str
    title: str
    probability: float
    words: str
    band: str
    reference_class: str
    base_rate: float
    prior: float
    evidence_decibans: float
    contributions: tuple[Contribution, ...]
    leanings: tuple[Lean, ...]
    exclusions: tuple[Excluded, ...]


class Tree:
    """The rules that fired in an area, each with what it rested on."""

    def __init__(self, subject: Subject) -> None:
        self._book, self._here = subject.reasoner.rulebook, subject.area.title
        self._firings: Mapping[str, Firing] = {firing.rule: firing for firing in subject.judged.evidence.firings}
        self._concluding: dict[tuple[str, str], list[str]] = {}
        for firing in subject.judged.evidence.firings:
            for conclusion in firing.conclusions:
                if conclusion.kind == "finding":
                    self._concluding.setdefault((conclusion.target, conclusion.value), []).append(firing.rule)

    def concluding(self, finding: str, state: str) -> tuple[RuleNode, ...]:
        """The rules that concluded a finding in a state."""
        return self.rules(self._concluding.get((finding, state), ()))

    def rules(self, names: Sequence[str]) -> tuple[RuleNode, ...]:
        """These rules, by id."""
        return tuple(self.rule(name) for name in sorted(names))

    def rule(self, name: str) -> RuleNode:
        """A rule that fired, with its reason, its sources and its facts."""
        firing = self._firings[name]
        written = self._book.rules.get(name)
        record = written or self._book.findings[name.partition(":")[0]]
        return RuleNode(
            record=record.id,
            title=record.title,
            observed=written is None,
            because=written.because if written else "",
            sureness=firing.sureness.word,
            sources=tuple(cited(self._book, citation) for citation in record.source),
            facts=tuple(self._fact(fact) for fact in firing.matched),
        )

    def _fact(self, fact: Fact) -> FactNode:
        record = self._book.records[fact.attribute]
        reckoned = record.account if isinstance(record, Measure) else ""
        rules = self.concluding(fact.attribute, str(fact.value)) if fact.attribute in self._book.findings else ()
        return FactNode(
            attribute=fact.attribute,
            title=record.title,
            value=fact.value,
            sureness=fact.sureness.word,
            origin=fact.origin,
            said=fact_words(self._book, fact, self._here),
            reckoned=reckoned,
            rules=rules,
        )


def why(subject: Subject, cause: str) -> Why:
    """Why a cause is believed as it is; KeyError for a cause that the rule base does not know."""
    opinion, tree = subject.causes[cause], Tree(subject)
    return Why(
        cause=cause,
        title=opinion.title,
        probability=opinion.probability,
        words=opinion.words,
        band=opinion.band,
        reference_class=subject.opinion.reference_class,
        base_rate=opinion.base_rate,
        prior=opinion.prior,
        evidence_decibans=opinion.evidence_decibans,
        contributions=tuple(
            Contribution(r.finding, r.title, r.state, r.sureness, r.decibans, tree.concluding(r.finding, r.state))
            for r in opinion.reasons
        ),
        leanings=tuple(Lean(leaning.decibans, tree.rule(leaning.rule)) for leaning in opinion.leanings),
        exclusions=tuple(Excluded(exclusion, tree.rule(exclusion.rule)) for exclusion in opinion.exclusions),
    )
