"""The rule base in memory: every record by kind and id, where each came from, and what it is worth as numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar, get_args

from engine.errors import nearest
from engine.inference.rules import ChainRule
from engine.rulebook.legal import BankHolidays, Duty
from engine.rulebook.models import (
    Attribute,
    Cause,
    Caution,
    Echo,
    Finding,
    Measure,
    Parameter,
    Question,
    Record,
    ReferenceClass,
    Rule,
    Scale,
    Source,
    Step,
    Stratum,
    Topic,
    WordList,
)
from engine.rulebook.records import Place
from engine.rulebook.reviewing import Remark

_Found = TypeVar("_Found")


@dataclass(frozen=True)
class Rulebook:
    """A rule base; it never changes after loading.

    Every kind is a mapping from id to record in id order, ``reference_classes`` in the order in which they are
    tried. ``origin`` gives file and line of each record, ``overridden`` those of what a record replaced.
    ``digests`` and ``digest`` are SHA-256 of the records' content and of the whole; files and comments do not
    count. ``places`` (every line of every record) and ``broken`` (records that could not be read, with their
    kind) are for checking, and empty for a base that was loaded sound.
    """

    digest: str
    digests: Mapping[str, str]
    scales: Mapping[str, Scale]
    sources: Mapping[str, Source]
    topics: Mapping[str, Topic]
    parameters: Mapping[str, Parameter]
    words: Mapping[str, WordList]
    reference_classes: Mapping[str, ReferenceClass]
    questions: Mapping[str, Question]
    measures: Mapping[str, Measure]
    causes: Mapping[str, Cause]
    findings: Mapping[str, Finding]
    echoes: Mapping[str, Echo]
    rules: Mapping[str, Rule]
    steps: Mapping[str, Step]
    cautions: Mapping[str, Caution]
    bank_holidays: Mapping[str, BankHolidays]
    duties: Mapping[str, Duty]
    reviews: Mapping[str, Remark]
    origin: Mapping[str, str]
    overridden: Mapping[str, str]
    places: Mapping[str, Place] = field(default_factory=dict, repr=False, compare=False)
    broken: Mapping[str, str] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def kinds(self) -> Mapping[str, Mapping[str, Record]]:
        """The records of every kind, by the name of the kind's folder."""
        return {
            "scales": self.scales,
            "sources": self.sources,
            "topics": self.topics,
            "parameters": self.parameters,
            "words": self.words,
            "reference_classes": self.reference_classes,
            "questions": self.questions,
            "measures": self.measures,
            "causes": self.causes,
            "findings": self.findings,
            "echoes": self.echoes,
            "rules": self.rules,
            "steps": self.steps,
            "cautions": self.cautions,
            "bank_holidays": self.bank_holidays,
            "duties": self.duties,
            "reviews": self.reviews,
        }

    @cached_property
    def records(self) -> Mapping[str, Record]:
        """Every record by its id, in id order."""
        everything = {name: record for kind in self.kinds.values() for name, record in kind.items()}
        return dict(sorted(everything.items()))

    @cached_property
    def attributes(self) -> Mapping[str, Attribute]:
        """What can be known of a dwelling, visit, area, surface or instrument: questions and measures by id."""
        return dict(sorted({**self.questions, **self.measures}.items()))

    @cached_property
    def chain_rules(self) -> Mapping[str, tuple[ChainRule, ...]]:
        """The rules of each stratum as inference takes them; see `engine.rulebook.compiling.compile_rules`."""
        from engine.rulebook.compiling import compile_rules

        return {stratum: compile_rules(self, stratum) for stratum in get_args(Stratum)}

    @cached_property
    def numbers(self) -> Mapping[str, float]:
        """The value of every parameter by its id."""
        return {name: parameter.value for name, parameter in self.parameters.items()}

    @cached_property
    def mechanisms(self) -> Mapping[str, tuple[str, ...]]:
        """The causes of each mechanism, both in id order."""
        groups: dict[str, list[str]] = {}
        for cause in self.causes.values():
            groups.setdefault(cause.mechanism, []).append(cause.id)
        return {mechanism: tuple(groups[mechanism]) for mechanism in sorted(groups)}

    @cached_property
    def _kind_by_id(self) -> Mapping[str, str]:
        return {name: kind for kind, records in self.kinds.items() for name in records}

    def kind_of(self, name: str) -> str | None:
        """The kind of the record with this id (the name of its folder), or None when there is none."""
        return self._kind_by_id.get(name)

    def title(self, name: str) -> str:
        """The title of the record with this id; KeyError, with the nearest id, when there is none."""
        kind = self.kind_of(name)
        return self.kinds[kind][name].title if kind else _found(self.records, name, "record").title

    def parameter(self, name: str) -> float:
        """The value of a parameter, in the unit that its record states; KeyError when there is none."""
        return _found(self.parameters, name, "parameter").value

    def word(self, scale: str, word: str) -> float:
        """The number that a word of a scale stands for; KeyError when there is no such scale or word."""
        words = _found(self.scales, scale, "scale").words
        return _found(words, word, f"word of the scale {scale}")


def _found(records: Mapping[str, _Found], name: str, kind: str) -> _Found:
    if name in records:
        return records[name]
    close = nearest(name, records)
    hint = f"; did you mean {close!r}?" if close else ""
    raise KeyError(f"the rule base has no {kind} {name!r}{hint}")
