"""The record kinds of a rule base: what may be written under ``rulesets/``, one model per kind.

Knowledge lives in records. Each kind has a folder of YAML lists, or one file of its own:
``causes/ findings/ echoes/ questions/ measures/ rules/ steps/ cautions/ parameters/`` and
``topics.yaml sources.yaml scales.yaml reference_classes.yaml``; those of the law (``duties/``, ``bank_holidays/``)
are in `engine.rulebook.legal`, those of practice reviews (``reviews/``) in `engine.rulebook.reviewing`. Ids are unique
over all kinds.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from pydantic_core import core_schema

from engine.inference.conditions import Condition, parse_condition, to_data

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=64)]
Line = Annotated[str, StringConstraints(min_length=1, max_length=300)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=20_000)]
Word = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=64)]
NOT_ASSESSED = "not_assessed"
"""What an author writes in a prose field that has honestly not been thought through; it is counted."""


class _Written:
    """How a condition stands in a record; without it pydantic would work out how to check every part of one."""

    def __get_pydantic_core_schema__(self, source: object, handler: object) -> core_schema.CoreSchema:
        written = core_schema.plain_serializer_function_ser_schema(to_data)
        return core_schema.no_info_plain_validator_function(parse_condition, serialization=written)


When = Annotated[Condition, _Written()]
SurenessWord = Literal["certain", "fairly-sure", "not-sure"]
Status = Literal["experimental", "tested", "retired"]
CauseKind = Literal["wetting", "residual", "false-reading"]
Stratum = Literal["admission", "readings", "patterns", "advice"]
Seen = Literal["read", "secondary", "from_memory"]


class Record(BaseModel):
    """Base of every record: no unknown fields, no silent conversions, no changes after loading."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    id: Id
    title: Line


class Citation(BaseModel):
    """A source and the place in it; ``source`` is the id of a Source record."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    source: Id
    clause: Line | None = None


Sources = Annotated[tuple[Citation, ...], Field(min_length=1)]


class Source(Record):
    """Where knowledge comes from, and whether it was read, seen at second hand, or remembered."""

    kind: Literal["published", "common-practice", "judgement"]
    authors: Line | None = None
    year: int | None = None
    seen: Seen | None = None
    note: Text | None = None


class Topic(Record):
    """A field of reasoning; ``account`` opens it with a short explanation of how one reasons there."""

    account: Text


class Parameter(Record):
    """One number that rules or measures use, with its unit, validity and source."""

    topic: Id
    value: float
    unit: Line
    validity: Text
    source: Sources
    note: Text | None = None


class WordList(Record):
    """A list of words or phrases that a check uses (for example words that would blame an occupant)."""

    topic: Id
    words: tuple[Line, ...]
    note: Text | None = None


class Scale(Record):
    """Words of strength and the numbers that they stand for."""

    unit: Line
    words: dict[Word, float]
    source: Sources
    note: Text | None = None


class ReferenceClass(Record):
    """A class of dwelling places with base rates of its own; the first whose condition holds applies."""

    when: When | None = None


class Choice(BaseModel):
    """One allowed word of an attribute, and how it reads."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    id: Word
    title: Line


class Attribute(Record):
    """A thing that can be known: yes/no, one of stated choices, or a number with unit and range.

    ``scope`` is the widest place at which it may be given: dwelling, visit, area, surface or instrument.
    """

    topic: Id
    scope: Literal["dwelling", "visit", "area", "surface", "instrument"]
    kind: Literal["yes-no", "choice", "number"]
    choices: tuple[Choice, ...] = ()
    unit: Line | None = None
    minimum: float | None = None
    maximum: float | None = None

    def words(self) -> tuple[str, ...]:
        """The words allowed as a value; empty for a number."""
        if self.kind == "yes-no":
            return ("yes", "no")
        return tuple(choice.id for choice in self.choices)


class Question(Attribute):
    """An attribute that a person answers: its id is the attribute's name in the case file.

    ``personal`` answers tell of somebody's health or life and are kept out of redacted cases. ``commonness`` gives
    how often each answer is met, as words of the ``frequency`` scale.
    """

    prompt: Line
    how: Text
    why: Text
    who: Literal["occupant", "inspector", "opening-up", "laboratory"]
    effort: Literal["ask", "look", "meter", "climb", "open-up", "laboratory"]
    applies: When | None = None
    safety: bool = False
    personal: bool = False
    commonness: dict[Word, Word] | None = None


class Measure(Attribute):
    """An attribute that the engine computes from readings, climate, samples or timber."""

    computed_by: Line
    account: Text
    source: Sources


class Check(BaseModel):
    """One check of a gate: made when its condition holds; the step says how to make it."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    title: Line
    made_when: When
    step: Id


class Gate(BaseModel):
    """What must be checked about a rival before a cause may be firm, and before irreversible work for it."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    rival: Id
    checks: Annotated[tuple[Check, ...], Field(min_length=1)]


class Cause(Record):
    """A mechanism in a place that wets, or a false reading.

    ``on_walls`` says by which fields of `engine.synthesis` it shows on a made-up wall, each with how often (words of
    the ``frequency`` scale, as shares); empty where it leaves the wall alone.
    """

    topic: Id
    kind: CauseKind
    mechanism: Id
    account: Text
    plain: Text
    base_rates: dict[Id, Annotated[float, Field(gt=0, lt=1)]]
    gate: tuple[Gate, ...] = ()
    on_walls: dict[Word, Word] = {}
    source: Sources


class Observation(BaseModel):
    """How an attribute settles a finding without anyone writing the rules.

    ``states`` maps each state of the finding to a test of the attribute; left out, yes means present and
    no means absent.
    """

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    attribute: Id
    states: dict[Word, Any] | None = None
    because: Text | None = None


class Mask(BaseModel):
    """Something that hides a finding however it arises: a cause, or a condition on facts."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    cause: Id | None = None
    when: When | None = None
    strength: Word
    why: Text


class Grade(BaseModel):
    """One step of a graded finding: how often it is reached or passed without and with each cause."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    background: Word
    makes: dict[Id, Word]


class Finding(Record):
    """A sign that causes could explain.

    A plain finding has states absent and present, ``background`` and ``makes`` (how often it is met when no
    listed cause is at work, and with each cause alone; words of the ``frequency`` scale; a cause that is not
    listed changes nothing). A graded one has ``grades``: for ``slight`` (slight or more) and ``strong``, and
    the states none, slight, strong.
    """

    topic: Id
    note: Text | None = None
    background: Word | None = None
    makes: dict[Id, Word] = {}
    grades: dict[Literal["slight", "strong"], Grade] | None = None
    observed_by: tuple[Observation, ...] = ()
    masks: tuple[Mask, ...] = ()
    dry_evidence: tuple[Word, ...] = ()
    source: Sources

    def states(self) -> tuple[str, ...]:
        """The states, weakest first."""
        return ("none", "slight", "strong") if self.grades else ("absent", "present")


class Echo(Record):
    """Findings that largely repeat each other, most direct first, with the stated correlation between them."""

    topic: Id
    correlation: Annotated[float, Field(ge=0, le=1)]
    members: Annotated[tuple[Id, ...], Field(min_length=2)]
    why: Text


class Conclusion(BaseModel):
    """One thing that a rule concludes; exactly one of the named targets is set.

    ``finding`` (with ``state``), ``leaning`` towards or away from a cause (``strength``, a word of the
    ``leaning`` scale), ``exclude`` a cause (``overturned_by``), ``doubt`` a finding (lowers its sureness to
    ``sureness``), ``void`` the instrument's readings, ``timber`` state, ``step`` or ``caution``.
    """

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    finding: Id | None = None
    state: Word | None = None
    leaning: Id | None = None
    strength: Word | None = None
    exclude: Id | None = None
    overturned_by: Text | None = None
    doubt: Id | None = None
    void: Literal["readings"] | None = None
    timber: Literal["no-evidence-of-risk", "watch", "at-risk", "decay-seen", "not-inspected"] | None = None
    step: Id | None = None
    caution: Id | None = None
    sureness: SurenessWord = "certain"


class Example(BaseModel):
    """Facts on which a rule must fire, or must not; a value alone stands for a certain, direct fact."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    facts: dict[str, str | float]
    note: Text | None = None


class Rule(Record):
    """When facts hold, conclude; with the reason in the trade's words and a source."""

    topic: Id
    status: Status
    author: Line
    date: date
    stratum: Stratum
    priority: int = 0
    when: When
    conclude: Annotated[tuple[Conclusion, ...], Field(min_length=1)]
    because: Text
    misleads: Text
    source: Sources
    fires_on: Annotated[tuple[Example, ...], Field(min_length=1)]
    silent_on: Annotated[tuple[Example, ...], Field(min_length=1)]
    related: tuple[Id, ...] = ()


class Meaning(BaseModel):
    """What one result of a test would mean."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    result: Line
    means: Text


class Step(Record):
    """Something to do next: a test that parts causes, an action on a source, or watching over time.

    ``settles`` names the findings that a test would observe; ``parts`` the causes that it tells apart.
    ``after`` names steps that must come first. ``irreversible`` steps are held back by the causes' gates.
    """

    topic: Id
    kind: Literal["test", "action", "monitoring"]
    purpose: Text
    how: Text
    plain: Text
    parts: tuple[Id, ...] = ()
    settles: tuple[Id, ...] = ()
    means: tuple[Meaning, ...] = ()
    effort: Literal["ask", "look", "meter", "climb", "open-up", "laboratory", "works"]
    cost: Literal["within-the-visit", "low", "moderate", "high"]
    invasiveness: Literal["none", "surface", "drilling", "opening-up", "works"]
    irreversible: bool = False
    treats: tuple[Id, ...] = ()
    who: Line
    urgency: Literal["hours", "days", "weeks", "planned"]
    after: tuple[Id, ...] = ()
    success: Text | None = None
    source: Sources


class Caution(Record):
    """A hazard to people, said before anything else; it defers to local codes and licensed people."""

    topic: Id
    rank: int
    text: Text
    defer_to: Text
    source: Sources
