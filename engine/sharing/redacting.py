"""A case without what is personal: names, addresses, contacts, health, and text marked private.

The kinds of field say what is personal (`engine.case.disclosure`); nothing here knows a field by its name. Text that a
person may have written anything in is scrubbed by its form and listed, for only reading it shows what else it tells.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass

from engine.case.base import Model
from engine.case.digest import case_digest
from engine.case.models import Case, Fact, Photograph
from engine.reading import FieldPath, readable
from engine.sharing.renaming import own_ids, renamed
from engine.sharing.scrubbing import REMOVED, Known, outward, scrubbed, without_private
from engine.sharing.walking import Field, changed, fields, without


@dataclass(frozen=True, slots=True)
class Taken:
    """Something that was taken out: the place in the case as it was, and what it was, never what it said."""

    place: str
    what: str


@dataclass(frozen=True, slots=True)
class Left:
    """Text that is left for a person to read: its place in the redacted case, and the text."""

    place: str
    text: str


@dataclass(frozen=True, slots=True)
class Redaction:
    """A redacted case, what was taken out of it, and the free text that is left in it."""

    case: Case
    taken: tuple[Taken, ...]
    left: tuple[Left, ...]


def redact(case: Case, personal: Collection[str] = (), *, photographs: bool = False) -> Redaction:
    """The case without what is personal, its readings, dates and other facts untouched.

    ``personal`` are attributes whose answers tell of health or life: their facts go, as do facts and photographs marked
    private. Other photographs go too unless asked for. Ids that hold a known name are replaced. Names of files stay
    until the files are packed (`engine.sharing.companions`). Redacting twice changes nothing more.
    """
    known = _known(case)
    taken: list[tuple[FieldPath, str]] = []

    def change(field: Field) -> object:
        if field.mark.personal is None or field.mark.personal == "file":
            return field.value
        if field.mark.personal == "reviewed":
            text, kinds = scrubbed(field.value, known)
            taken.extend((field.path, _counted(kinds, kind)) for kind in kinds)
            return text or (REMOVED if field.required else None)
        short = outward(field.value) if field.mark.personal == "address" else None
        if field.value in (short, REMOVED):
            return field.value
        kept = f", but the outward part of the postcode, {short}" if short else ""
        taken.append((field.path, f"{_KINDS[field.mark.personal]}{kept}"))
        return short or (REMOVED if field.required else None)

    smaller, gone = without(changed(case, change), lambda part: _unwanted(part, personal, photographs))
    taken = [(path, what) for path, what in taken if not any(path[: len(place)] == place for place in gone)]
    taken += [(path, _what(case, path, personal)) for path in gone]
    cleaned = _without_telling(smaller, case)
    named = renamed(cleaned, known.names)
    if named is not cleaned:
        taken.append((("ids",), "ids that hold a name or address, replaced by numbered ones"))
    if known.names(named.id):
        named = named.model_copy(update={"id": f"case-{case_digest(named)[:8]}"})
        taken.append((("id",), "the case's own id, which holds a name or address"))
    left = (
        Left(readable(field.path), str(field.value))
        for field in fields(named)
        if field.mark.personal in ("reviewed", "address")
    )
    told = tuple(Taken(readable(path), what) for path, what in taken)
    ids = Left("ids of its parts", ", ".join(own_ids(named)))
    return Redaction(named, told, (Left("id", named.id), *left, ids))


_KINDS = {
    "name": "a name, or the day of a signature",
    "address": "the address",
    "identifier": "a number that identifies",
}


def without_private_text(case: Case) -> Case:
    """The case without the text that was marked private, and all else as it was: what a report of it may print."""

    def change(field: Field) -> object:
        if field.mark.personal != "reviewed":
            return field.value
        return without_private(field.value) or (REMOVED if field.required else None)

    return changed(case, change)


def _known(case: Case) -> Known:
    marked = [(field.mark.personal, str(field.value)) for field in fields(case)]
    names = [value for personal, value in marked if personal == "name"]
    return Known.of(names, [value for personal, value in marked if personal == "address"])


def _unwanted(part: Model, personal: Collection[str], photographs: bool) -> bool:
    if isinstance(part, Fact):
        return part.private or part.attribute in personal
    return isinstance(part, Photograph) and (part.private or not photographs)


def _what(case: Case, path: FieldPath, personal: Collection[str]) -> str:
    part: object = case
    for step in path:
        part = part[step] if isinstance(part, tuple) and isinstance(step, int) else getattr(part, str(step))
    if isinstance(part, Photograph):
        return "a photograph marked private" if part.private else "a photograph"
    if isinstance(part, Fact) and part.attribute in personal:
        return f"an answer about health or life ({part.attribute})"
    return f"a fact marked private ({part.attribute})" if isinstance(part, Fact) else "a part"


def _counted(kinds: Counter[str], kind: str) -> str:
    return kind if kinds[kind] == 1 else f"{kind}, {kinds[kind]} times"


def _without_telling(case: Case, before: Case) -> Case:
    """The key's telling attributes are those of which there still is a fact in the case."""
    if case.key is None:
        return case
    gone = _attributes(before) - _attributes(case)
    areas = tuple(
        area.model_copy(update={"telling": tuple(name for name in area.telling if name not in gone)})
        for area in case.key.areas
    )
    return case.model_copy(update={"key": case.key.model_copy(update={"areas": areas})})


def _attributes(case: Case) -> set[str]:
    surfaces = (surface for area in case.areas for surface in area.surfaces)
    inner = [part.facts for parts in (case.visits, case.areas, surfaces) for part in parts]
    return {fact.attribute for facts in (case.dwelling.facts, *inner) for fact in facts}
