"""Whether a case speaks the words of a rule base: attributes, their places and values, causes, steps, cautions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from engine.case.parts import Faults, Part, Written
from engine.case.vocabulary import UNSETTLED, Attribute, Vocabulary
from engine.documents import FieldPath
from engine.reading import shown

_PLACES = {
    "dwelling": ("dwelling", "visit", "area", "surface"),
    "visit": ("visit",),
    "area": ("area", "surface"),
    "surface": ("surface",),
    "instrument": (),
}
"""Where an attribute of each scope may be given: at its own place or a narrower one."""

_IN_KEY = (
    ("truth", "causes"),
    ("steps", "steps"),
    ("parting_steps", "steps"),
    ("catches_junior", "steps"),
    ("cautions", "cautions"),
)


def check(written: Written, faults: Faults, vocabulary: Vocabulary) -> None:
    """Record every word that the vocabulary does not know, or does not allow where it stands."""
    for place, _, fact in written.facts():
        _fact(place, fact, faults, vocabulary)
    known = {**vocabulary.questions, **vocabulary.measures}
    for holder in (written.root.part("dwelling"), *written.areas):
        for entry in holder.parts("not_inspected") if holder else ():
            for path, name in entry.texts("attributes"):
                _among(known, "attribute", path, name, faults)
    for area in written.areas:
        conclusion = area.part("conclusion")
        for path, name in conclusion.texts("causes") if conclusion else ():
            _among(vocabulary.causes, "cause", path, name, faults)
    key = written.root.part("key")
    for part in key.parts("areas") if key else ():
        _key(part, faults, vocabulary)


def _key(part: Part, faults: Faults, vocabulary: Vocabulary) -> None:
    records: Mapping[str, Mapping[str, object]] = {
        "causes": vocabulary.causes,
        "steps": vocabulary.steps,
        "cautions": vocabulary.cautions,
    }
    for name, kind in _IN_KEY:
        for path, value in part.texts(name):
            _among(records[kind], kind.removesuffix("s"), path, value, faults)
    junior = part.text("junior")
    if junior is not None:
        _among(vocabulary.causes, "cause", part.at("junior"), junior, faults)
    evidence = {**vocabulary.questions, **vocabulary.measures, **vocabulary.findings}
    for path, value in part.texts("breaks_junior"):
        _among(evidence, "attribute or finding", path, value, faults)


def _among(names: Mapping[str, object], kind: str, path: FieldPath, value: str, faults: Faults) -> None:
    if value not in names:
        allowed = f"a {kind} of the rule base" if kind[0] not in "aeiou" else f"an {kind} of the rule base"
        faults.add(path, f"the unknown {kind} {shown(value)}", allowed, near=value, names=names)


def _fact(place: str, fact: Part, faults: Faults, vocabulary: Vocabulary) -> None:
    name = fact.text("attribute")
    if name is None:
        return
    path = fact.at("attribute")
    if name in vocabulary.measures:
        found = f"{shown(name)}, which is computed from what was measured"
        faults.add(
            path, found, "attributes that a person answers", "give the readings, samples or temperatures instead"
        )
    elif name in vocabulary.findings:
        found = f"the finding {shown(name)}, which rules conclude"
        faults.add(path, found, "attributes that a person answers", "give the facts on which it rests")
    elif name not in vocabulary.questions:
        _among(vocabulary.questions, "attribute", path, name, faults)
    else:
        attribute = vocabulary.questions[name]
        places = _PLACES[attribute.scope]
        if place not in places:
            found = f"{shown(name)} among the facts of a {place}"
            faults.add(path, found, f"it among the facts of: {', '.join(places)}" if places else "it nowhere in a case")
        _value(fact, attribute, faults)


def _value(fact: Part, attribute: Attribute, faults: Faults) -> None:
    value: Any = fact.data.get("value")
    if value in UNSETTLED or isinstance(value, (bool, list, dict)) or value is None:
        return
    others = f"or {', '.join(UNSETTLED)}"
    if attribute.kind == "number":
        low, high, unit = attribute.minimum, attribute.maximum, attribute.unit
        within = isinstance(value, (int, float)) and (low is None or value >= low) and (high is None or value <= high)
        if not within:
            bounds = (f" from {low:g}" if low is not None else "") + (f" up to {high:g}" if high is not None else "")
            allowed = f"a number{bounds}{f' {unit}' if unit else ''}, {others}"
            faults.add(fact.at("value"), shown(value), allowed, near=str(value), names=UNSETTLED)
    elif value not in attribute.words():
        words = (*attribute.words(), *UNSETTLED)
        allowed = f"one of {', '.join(attribute.words())}, {others}"
        faults.add(fact.at("value"), shown(value), allowed, near=str(value), names=words)
