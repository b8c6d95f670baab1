"""The files of a rule base read into checked records, with every fault of every file at once."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from engine.documents import Document, FieldPath, read_document
from engine.errors import InvalidInput, Problem, nearest
from engine.rulebook.explaining import explain
from engine.rulebook.kinds import KINDS, ONE_OF
from engine.rulebook.models import Record

_SUFFIX = ".yaml"


@dataclass(frozen=True, slots=True)
class RuleFile:
    """One file of a rule base: its kind, its name as messages give it, and where it lies."""

    kind: str
    name: str
    path: Path


@dataclass(frozen=True, slots=True)
class Place:
    """Where a record is written: its document and its position in the document's list."""

    document: Document
    position: int

    def line(self, path: FieldPath = ()) -> int | None:
        """The line of a part of the record."""
        return self.document.line((self.position, *path))

    def data(self, path: FieldPath = ()) -> Any:
        """A part of the record as it is written."""
        data = self.document.data[self.position]
        for part in path:
            data = data[part]
        return data

    def __str__(self) -> str:
        return f"{self.document.name}:{self.line()}"


@dataclass(slots=True)
class Records:
    """The records of all files by kind and id, where each is written, what was replaced, and the faults.

    ``broken`` names records that could not be read, by id and kind: others may refer to them without blame.
    """

    kinds: dict[str, dict[str, Record]] = field(default_factory=lambda: {kind: {} for kind in KINDS})
    places: dict[str, Place] = field(default_factory=dict)
    overridden: dict[str, str] = field(default_factory=dict)
    broken: dict[str, str] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def rule_files(folder: Path, name: str) -> tuple[list[RuleFile], list[Problem]]:
    """The files of one folder in the order in which they are read, and what does not belong there."""
    if not folder.is_dir():
        found = "a file" if folder.exists() else "no such folder"
        return [], [Problem(name, None, "", found, "a folder of records", "name the folder that holds them")]
    files: list[RuleFile] = []
    problems: list[Problem] = []
    for entry in sorted(folder.iterdir()):
        kind = entry.stem if entry.is_file() else entry.name
        shown = f"{name}/{entry.name}"
        if entry.name.startswith((".", "__")) or (entry.is_file() and not _holds_records(entry)):
            continue
        if kind not in KINDS:
            allowed = f"the kinds of record {', '.join(KINDS)}"
            found = f"the kind {kind!r}, which is not known"
            problems.append(Problem(shown, None, "", found, allowed, "rename it", nearest(kind, KINDS)))
        elif entry.is_file():
            files.append(RuleFile(kind, shown, entry))
        else:
            inside = [item for item in sorted(entry.rglob("*")) if item.is_file() and _holds_records(item)]
            for item in inside:
                files.append(RuleFile(kind, f"{name}/{item.relative_to(folder).as_posix()}", item))
    for file in files:
        if file.path.suffix != _SUFFIX:
            problems.append(
                Problem(file.name, None, "", f"a {file.path.suffix} file", f"files named *{_SUFFIX}", "rename it")
            )
        elif file.path.parent != folder and file.path.parent.parent != folder:
            advice = f"put it straight into {name}/{file.kind}"
            problems.append(Problem(file.name, None, "", "a folder inside a kind's folder", "files only", advice))
    if not files and not problems:
        problems.append(Problem(name, None, "", "no records", f"folders or files named {', '.join(KINDS)}"))
    return [file for file in files if file.path.suffix == _SUFFIX], problems


def _holds_records(path: Path) -> bool:
    return path.suffix.lower() in (".yaml", ".yml", ".json") and not path.name.startswith(".")


def read_records(layers: Sequence[Sequence[RuleFile]], contents: Mapping[RuleFile, bytes]) -> Records:
    """The records of several layers of files; a record of a later layer replaces the one of its id before it.

    Reference classes keep the order in which they are written, those added by a later layer coming first.
    """
    records = Records()
    for layer in layers:
        written: dict[str, tuple[str, Place]] = {}
        classes_before = records.kinds["reference_classes"]
        records.kinds["reference_classes"] = dict(classes_before)
        for file in layer:
            try:
                document = read_document(Path(file.name), text=contents[file].decode("utf-8-sig"))
            except UnicodeDecodeError:
                records.problems.append(Problem(file.name, None, "", "bytes that are not UTF-8", "UTF-8 text"))
                continue
            except InvalidInput as fault:
                records.problems.extend(fault.problems)
                continue
            for identity, place in _entries(file, document, records):
                _place(records, written, file.kind, identity, place)
        classes = records.kinds["reference_classes"]
        records.kinds["reference_classes"] = {
            **{name: record for name, record in classes.items() if name not in classes_before},
            **{name: record for name, record in classes.items() if name in classes_before},
        }
    return records


def _entries(file: RuleFile, document: Document, records: Records) -> Iterator[tuple[str, Place]]:
    if not isinstance(document.data, list):
        allowed = f"a list of records, each beginning with '- id: …' ({ONE_OF[file.kind]} records in this file)"
        records.problems.append(Problem(file.name, document.line(()), "", "something that is not a list", allowed))
        return
    for position, data in enumerate(document.data):
        if isinstance(data, dict) and isinstance(data.get("id"), str):
            yield data["id"], Place(document, position)
            continue
        found = "a record without an id" if isinstance(data, dict) else "an entry that is not a record"
        allowed = f"a {ONE_OF[file.kind]} with the fields {', '.join(KINDS[file.kind].model_fields)}"
        line = document.line((position,))
        records.problems.append(Problem(file.name, line, f"[{position}]", found, allowed, "give it an id"))


def _place(records: Records, written: dict[str, tuple[str, Place]], kind: str, identity: str, place: Place) -> None:
    """Check one record and file it; an id twice within a layer, or for another kind, is a fault at both places."""
    name, one = place.document.name, ONE_OF[kind]
    if identity in written:
        other_kind, other = written[identity]
        found = f"a second record with this id (the first, a {ONE_OF[other_kind]}, is at {other})"
        advice = "give one of them another id, or delete it"
        records.problems.append(
            Problem(name, place.line(("id",)), f"{identity}.id", found, "each id once over all kinds", advice)
        )
        return
    written[identity] = (kind, place)
    earlier = records.places.get(identity)
    if earlier is not None and identity not in records.kinds[kind] and records.broken.get(identity) != kind:
        found = f"a {one} with the id of a record of another kind (at {earlier})"
        advice = "a record replaces one of its own kind; give this one another id"
        records.problems.append(
            Problem(name, place.line(("id",)), f"{identity}.id", found, "each id once over all kinds", advice)
        )
        return
    if earlier is not None:
        before = records.overridden.get(identity)
        records.overridden[identity] = f"{before}, {earlier}" if before else str(earlier)
    records.places[identity] = place
    try:
        record = KINDS[kind].model_validate_json(json.dumps(place.data()))
    except ValidationError as error:
        root = (place.position,)
        records.problems.extend(explain(error, KINDS[kind], place.document, root, label=identity))
        records.kinds[kind].pop(identity, None)
        records.broken[identity] = kind
        return
    records.broken.pop(identity, None)
    unit, before_unit = (getattr(one, "unit", None) for one in (record, records.kinds[kind].get(identity, record)))
    if unit != before_unit:
        found = f"{unit!r}, where the record that it replaces ({earlier}) has {before_unit!r}"
        advice = "what uses it counts in that unit: convert the numbers, or give this record another id"
        line = place.line(("unit",))
        records.problems.append(Problem(name, line, f"{identity}.unit", found, "the same unit", advice))
    records.kinds[kind][identity] = record
