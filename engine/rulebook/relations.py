"""Who refers to whom, in words: every reference of the records grouped by what the one is to the other."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass

from engine.documents import FieldPath
from engine.rulebook.book import Rulebook
from engine.rulebook.references import Reference, references

AS_TARGET: Mapping[tuple[str, str], str] = {
    ("findings", "observed_by"): "findings that it settles",
    ("findings", "makes"): "findings that speak for or against it",
    ("findings", "masks"): "findings that it may hide",
    ("echoes", "members"): "echo groups that it belongs to",
    ("rules", "finding"): "rules that conclude it",
    ("rules", "leaning"): "rules that lean towards or away from it",
    ("rules", "exclude"): "rules that exclude it",
    ("rules", "doubt"): "rules that cast doubt on it",
    ("rules", "step"): "rules that call for it",
    ("rules", "caution"): "rules that raise it",
    ("rules", "when"): "rules that test it",
    ("rules", "example"): "rules whose examples alone name it",
    ("rules", "related"): "rules that name it as related",
    ("causes", "rival"): "causes whose gate has it as a rival",
    ("causes", "made_when"): "causes whose gate tests it",
    ("causes", "step"): "causes whose gate it makes",
    ("causes", "base_rates"): "causes with a base rate for it",
    ("steps", "parts"): "steps that part it from others",
    ("steps", "settles"): "steps that settle it",
    ("steps", "treats"): "steps that treat it",
    ("steps", "after"): "steps that come after it",
    ("questions", "applies"): "questions that are asked because of it",
    ("reference_classes", "when"): "classes of place that rest on it",
    ("duties", "bank_holidays"): "duties whose working days it counts",
    ("reviews", "when"): "review remarks that test it",
}
"""What the records of a kind that name a record in a field are to it, in the order in which they are shown."""
_OF_EVERY_KIND = {"topic": "{kind} of this topic", "source": "{kind} that cite it"}


@dataclass(frozen=True, slots=True)
class Relation:
    """What some records are to one, and their ids, sorted."""

    phrase: str
    ids: tuple[str, ...]


def referred_to_by(rulebook: Rulebook, name: str) -> tuple[Relation, ...]:
    """Every record that refers to this one, by what they are to it."""
    named = [reference for reference in references(rulebook) if reference.name == name and reference.by != name]
    groups: dict[str, set[str]] = {}
    for reference in sorted(named, key=lambda one: _order(rulebook, one)):
        groups.setdefault(_phrase(rulebook, reference), set()).add(reference.by)
    examples = AS_TARGET["rules", "example"]
    elsewhere = {by for phrase, ids in groups.items() if phrase != examples for by in ids}
    groups[examples] = groups.get(examples, set()) - elsewhere
    return tuple(Relation(phrase, tuple(sorted(ids))) for phrase, ids in groups.items() if ids)


def refers_to(rulebook: Rulebook, name: str) -> tuple[Relation, ...]:
    """Every record that this one names, by kind."""
    groups: dict[str, set[str]] = {}
    for reference in references(rulebook):
        kind = rulebook.kind_of(reference.name)
        if reference.by == name and reference.name != name and kind is not None:
            groups.setdefault(kind, set()).add(reference.name)
    return tuple(
        Relation(kind.replace("_", " "), tuple(sorted(groups[kind]))) for kind in rulebook.kinds if kind in groups
    )


def near_names(rulebook: Rulebook, name: str, at_most: int = 6) -> tuple[str, ...]:
    """Ids close to a name in spelling, then those in whose id or title every word of it stands."""
    words = name.lower().replace("-", " ").split()
    close = difflib.get_close_matches(name, list(rulebook.records), n=at_most, cutoff=0.6)
    holding = [
        record.id
        for record in rulebook.records.values()
        if words and all(word in f"{record.id} {record.title}".lower() for word in words)
    ]
    return tuple(dict.fromkeys((*close, *holding)))[:at_most]


def field_of(kind: str, path: FieldPath) -> str:
    """The field of a reference by which it is grouped: the telling part of its path."""
    names = [part for part in path if isinstance(part, str)]
    if kind == "rules":
        return {"conclude": names[-1], "fires_on": "example", "silent_on": "example"}.get(names[0], names[0])
    if kind == "causes" and names[0] == "gate":
        return next(name for name in names if name in ("rival", "step", "made_when"))
    return "makes" if names[0] == "grades" else names[0]


def _phrase(rulebook: Rulebook, reference: Reference) -> str:
    kind = rulebook.kind_of(reference.by) or ""
    field = field_of(kind, reference.path)
    if field in _OF_EVERY_KIND:
        return _OF_EVERY_KIND[field].format(kind=kind.replace("_", " "))
    return AS_TARGET[kind, field]


def _order(rulebook: Rulebook, reference: Reference) -> tuple[int, int, str]:
    kind = rulebook.kind_of(reference.by) or ""
    key = (kind, field_of(kind, reference.path))
    known = list(AS_TARGET)
    return (known.index(key) if key in known else len(known), list(rulebook.kinds).index(kind), reference.by)
