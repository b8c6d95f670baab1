"""Which exercise a session is on: one to go on with, one asked for by name, seed, topic or level, or the next."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from cli.exits import FAILURE, USAGE

if TYPE_CHECKING:
    from engine.practising.exercise import Exercise, Source
    from engine.practising.record import Begun, Record
    from engine.practising.session import Practice
    from engine.rulebook import Rulebook


@dataclass(frozen=True)
class Wanted:
    """What the command line asks for."""

    case: str | None
    area: str | None
    topic: str | None
    level: int | None
    new: int | None
    key: Path | None
    another: bool
    data: Path | None
    no_input: bool
    plain: bool
    rules: Sequence[Path] | None

    @property
    def resume(self) -> str:
        """The command that goes on with this session."""
        parts = ["dampwright practise"]
        if self.key is not None:
            parts.append(f"--key {_quoted(self.key)}")
        if self.data is not None:
            parts.append(f"--data {_quoted(self.data)}")
        return " ".join([*parts, *(f"--rules {_quoted(folder)}" for folder in self.rules or ())])


def _quoted(path: Path) -> str:
    return f'"{path}"' if " " in str(path) else str(path)


def opened(wanted: Wanted, record: Record, rulebook: Rulebook) -> Practice:
    """The exercise to practise: the last one not finished, unless the command line asks for another."""
    from engine.practising.session import Practice

    source = _asked_for(wanted)
    begun = None if wanted.another else _under_way(wanted, record, source)
    if begun is not None:
        return _gone_on_with(begun, _with_key(wanted, _opened(rulebook, begun.source, begun.area)), record, rulebook)
    found = _begun_on(wanted, record, rulebook, source)
    return Practice(record, _with_key(wanted, found), rulebook)


def _asked_for(wanted: Wanted) -> Source | None:
    from engine.practising.choosing import named
    from engine.practising.exercise import Source

    if wanted.case is not None and (wanted.new is not None or wanted.topic or wanted.level):
        stop("CASE goes without --new, --topic and --level", USAGE)
    if wanted.case is not None:
        return named(wanted.case)
    if wanted.new is not None:
        return Source("new", str(wanted.new), wanted.level, wanted.topic)
    return None


def _under_way(wanted: Wanted, record: Record, source: Source | None) -> Begun | None:
    """The last exercise without a review that is what was asked for.

    One that is concluded waits for its review; where its key is kept apart, only a command that names it gives that.
    """
    for begun in reversed(record.exercises()):
        same = source is None or (begun.source == source and wanted.area in (None, begun.area))
        wished = source is not None or not (wanted.topic or wanted.level)
        apart = begun.source.kind == "file" and source is None and wanted.key is None
        if same and wished and begun.reviewed is None and not (begun.concluded and apart):
            return begun
    return None


def _opened(rulebook: Rulebook, source: Source, area: str | None) -> Exercise:
    from engine.practising.choosing import opened as exercise_of

    if source.kind == "new":
        print("Making the case; that takes some seconds.", file=sys.stderr)
    return exercise_of(rulebook, source, area)


def _gone_on_with(begun: Begun, found: Exercise, record: Record, rulebook: Rulebook) -> Practice:
    from engine.practising.session import Changed, Practice

    try:
        return Practice(record, found, rulebook, begun)
    except Changed:
        said = f"the case of exercise {begun.number} is not what it was when the exercise was begun, so it cannot go on"
        stop(f"{begun.source.name}: {said}; dampwright practise --another begins another", FAILURE)


def _begun_on(wanted: Wanted, record: Record, rulebook: Rulebook, source: Source | None) -> Exercise:
    from engine.practising.choosing import pick

    if source is not None:
        return _opened(rulebook, source, wanted.area)
    if wanted.topic is not None and wanted.topic not in rulebook.topics:
        stop(f"--topic: {wanted.topic!r} is not one of {', '.join(rulebook.topics)}", USAGE)
    done = {(one.source.name, one.area) for one in record.exercises() if one.source.kind == "casebook"}
    found = pick(rulebook, done, topic=wanted.topic, hard=wanted.level)
    if found is None:
        said = "every such case of the casebook is practised" if done else "the casebook has no such case"
        stop(f"{said}; dampwright practise --new SEED makes a new one", FAILURE)
    return found


def _with_key(wanted: Wanted, found: Exercise) -> Exercise:
    """The exercise with the key that the command line names, where its own case has none."""
    if wanted.key is None or found.key is not None:
        return found
    from engine.practising.exercise import unsealed
    from engine.sharing.sealing import read_key

    return unsealed(found, read_key(wanted.key))


def stop(message: str, code: int) -> NoReturn:
    """End with a message."""
    print(message, file=sys.stderr)
    sys.exit(code)
