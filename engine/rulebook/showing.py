"""One record on one page: what it says, where it is written, what it leads to and who refers to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from engine.errors import InvalidInput, Problem, nearest
from engine.rulebook.book import Rulebook
from engine.rulebook.compiling import strength_levels
from engine.rulebook.kinds import ONE_OF
from engine.rulebook.models import Cause, Finding, Record, Rule, Scale
from engine.rulebook.relations import AS_TARGET, near_names, referred_to_by, refers_to
from engine.rulebook.strengths import Strength, strengths
from engine.rulebook.telling import Entry, concluded, fields, named

_TOLD_ABOVE = frozenset(
    AS_TARGET[key]
    for key in (
        ("findings", "makes"),
        ("rules", "finding"),
        ("rules", "leaning"),
        ("rules", "exclude"),
        ("rules", "doubt"),
    )
)
"""Relations that the sections on a cause or a finding have already told in full."""


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it."""

    title: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Showing:
    """A record's page. ``replaces`` names the file and line of the records that it stands in for, if any."""

    id: str
    kind: str
    title: str
    written_at: str
    replaces: str | None
    sections: tuple[Section, ...]
    data: dict[str, Any]


def show(rulebook: Rulebook, name: str) -> Showing:
    """The page of the record with this id; InvalidInput, with the nearest names, when there is none."""
    record = rulebook.records.get(name)
    if record is None:
        near = near_names(rulebook, name)
        advice = f"near it: {', '.join(near)}" if near else "`dampwright rules list` lists them all"
        raise InvalidInput([Problem("the rule base", None, "", repr(name), "the id of a record", advice)])
    kind = ONE_OF[rulebook.kind_of(name) or ""]
    sections = [Section("What it says", fields(rulebook, record)), *_special(rulebook, record)]
    backward = referred_to_by(rulebook, name)
    forward = refers_to(rulebook, name)
    sections.append(
        Section(
            "Who refers to it",
            tuple(
                _group(rulebook, relation.phrase, relation.ids)
                for relation in backward
                if relation.phrase not in _TOLD_ABOVE
            ),
        )
    )
    sections.append(
        Section(
            "Whom it refers to", tuple(Entry(f"{relation.phrase}: {', '.join(relation.ids)}") for relation in forward)
        )
    )
    return Showing(
        id=name,
        kind=kind,
        title=record.title,
        written_at=rulebook.origin.get(name, ""),
        replaces=rulebook.overridden.get(name),
        sections=tuple(section for section in sections if section.entries),
        data={
            "id": name,
            "kind": kind,
            "title": record.title,
            "written_at": rulebook.origin.get(name, ""),
            "replaces": rulebook.overridden.get(name),
            "record": record.model_dump(mode="json", exclude_defaults=True),
            "referred_to_by": {relation.phrase: list(relation.ids) for relation in backward},
            "refers_to": {relation.phrase: list(relation.ids) for relation in forward},
            "strengths": [_strength_data(one) for one in _strengths_of(rulebook, record)],
        },
    )


def listing(rulebook: Rulebook, kind: str | None = None, topic: str | None = None) -> tuple[tuple[str, str, str], ...]:
    """Kind, id and title of every record, or of those of one kind or topic; by kind, then id.

    InvalidInput, with the nearest name, for a kind or topic that there is not.
    """
    _known("kind", kind, tuple(rulebook.kinds))
    _known("topic", topic, tuple(rulebook.topics))
    return tuple(
        (name, record.id, record.title)
        for name, records in rulebook.kinds.items()
        for record in records.values()
        if kind in (None, name) and topic in (None, getattr(record, "topic", None))
    )


def _known(what: str, name: str | None, names: tuple[str, ...]) -> None:
    if name is not None and name not in names:
        raise InvalidInput(
            [Problem("the rule base", None, what, repr(name), ", ".join(names), "", nearest(name, names))]
        )


def _group(rulebook: Rulebook, phrase: str, ids: tuple[str, ...], at_most: int = 40) -> Entry:
    shown = tuple(Entry(named(rulebook, name)) for name in ids[:at_most])
    rest = (Entry(f"and {len(ids) - at_most} more"),) if len(ids) > at_most else ()
    return Entry(f"{phrase} ({len(ids)}):", (*shown, *rest))


def _special(rulebook: Rulebook, record: Record) -> list[Section]:
    if isinstance(record, Cause):
        return _of_cause(rulebook, record)
    if isinstance(record, Finding):
        return _of_finding(rulebook, record)
    if isinstance(record, Scale):
        return _of_scale(rulebook, record)
    return []


def _strengths_of(rulebook: Rulebook, record: Record) -> tuple[Strength, ...]:
    if isinstance(record, Cause):
        return strengths(rulebook, cause=record.id)
    return strengths(rulebook, finding=record.id) if isinstance(record, Finding) else ()


def _of_cause(rulebook: Rulebook, cause: Cause) -> list[Section]:
    found = strengths(rulebook, cause=cause.id)
    speaking = sorted((one for one in found if one.seen >= 0), key=lambda one: (-one.seen, one.finding, one.state))
    against = sorted((one for one in found if one.seen < 0), key=lambda one: (one.seen, one.finding, one.state))
    return [
        Section("Findings that speak for it", tuple(_strength(rulebook, one, one.finding) for one in speaking)),
        Section("Findings that speak against it", tuple(_strength(rulebook, one, one.finding) for one in against)),
        Section("Rules that lean or exclude", _rules(rulebook, lambda c: cause.id in (c.leaning, c.exclude))),
    ]


def _of_finding(rulebook: Rulebook, finding: Finding) -> list[Section]:
    found = strengths(rulebook, finding=finding.id)
    ordered = sorted(found, key=lambda one: (one.state, -one.seen, one.cause))
    occasions = " or ".join(_words(level.background) for level in strength_levels(finding))
    without = Entry(f"with none of the causes: {occasions}")
    return [
        Section("Causes", (without, *(_strength(rulebook, one, one.cause) for one in ordered))),
        Section("Rules that conclude or doubt it", _rules(rulebook, lambda c: finding.id in (c.finding, c.doubt))),
    ]


def _of_scale(rulebook: Rulebook, scale: Scale) -> list[Section]:
    used = dict.fromkeys(scale.words, 0)
    if scale.id == "frequency":
        for one in strengths(rulebook):
            used[one.word] += 1
    elif scale.id == "leaning":
        for rule in rulebook.rules.values():
            for conclusion in rule.conclude:
                if conclusion.strength is not None:
                    used[conclusion.strength] += 1
    else:
        for finding in rulebook.findings.values():
            for mask in finding.masks:
                used[mask.strength] = used.get(mask.strength, 0) + 1
    return [Section("How often each word is used", tuple(Entry(f"{word}: {count}") for word, count in used.items()))]


def _rules(rulebook: Rulebook, wanted: Callable[[Any], bool]) -> tuple[Entry, ...]:
    entries = []
    for rule in rulebook.rules.values():
        said = tuple(Entry(concluded(rulebook, conclusion)) for conclusion in rule.conclude if wanted(conclusion))
        if said:
            entries.append(Entry(f"{rule.title} [{rule.id}]{_retired(rule)}", said))
    return tuple(entries)


def _retired(rule: Rule) -> str:
    return " (retired)" if rule.status == "retired" else ""


def _strength(rulebook: Rulebook, one: Strength, other: str) -> Entry:
    state = "" if one.state == "present" else f" ({one.state.replace('-', ' ')})"
    return Entry(
        f"{named(rulebook, other)}{state}: {_words(one.word)} ({one.probability:g}), otherwise "
        f"{_words(one.background_word)} ({one.background:g}); [{one.seen:+.1f} dB] when found, "
        f"[{one.unseen:+.1f} dB] when not"
    )


def _words(word: str) -> str:
    return word.replace("-", " ")


def _strength_data(one: Strength) -> dict[str, Any]:
    return {
        "finding": one.finding,
        "cause": one.cause,
        "state": one.state,
        "word": one.word,
        "probability": one.probability,
        "background_word": one.background_word,
        "background": one.background,
        "decibans_when_found": round(one.seen, 3),
        "decibans_when_not": round(one.unseen, 3),
    }
