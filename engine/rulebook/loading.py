"""Loading a rule base: the program's own records and a firm's, checked, and kept for the next run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import engine
from engine.errors import InvalidInput, Problem
from engine.rulebook.book import Rulebook
from engine.rulebook.caching import cache_key, keep, recall
from engine.rulebook.digesting import base_digest, record_digest
from engine.rulebook.records import Records, RuleFile, read_records, rule_files


def own_folder() -> Path:
    """The folder of the program's own records, beside the package ``engine``."""
    return Path(engine.__file__).parent.parent / "rulesets"


def load_rulebook(extra: Sequence[Path] = (), *, cache: bool = True, folder: Path | None = None) -> Rulebook:
    """The rule base of a folder (by default the program's own), with the records of further folders on top.

    A record of a further folder replaces the one with its id, or is added; the last folder wins. Raises
    InvalidInput with every fault of every file, and of the records together, when the base is not sound.
    With ``cache`` a sound base is kept in the user's cache folder and taken from there while no file changes.
    """
    layers, contents, problems = _collect(folder, extra)
    key = cache_key(layers, contents) if cache and not problems else None
    kept = recall(key) if key else None
    if kept is not None:
        return kept
    rulebook, problems = _read(layers, contents, problems)
    from engine.rulebook.checking import check_rulebook  # only a base that is not kept pays for this import

    problems = [*problems, *check_rulebook(rulebook).faults]
    if problems:
        raise InvalidInput(problems)
    rulebook = replace(rulebook, places={})
    if key:
        keep(key, rulebook)
    return rulebook


def read_rulebook(extra: Sequence[Path] = (), *, folder: Path | None = None) -> tuple[Rulebook, tuple[Problem, ...]]:
    """A rule base as far as it can be read, and the faults of its files; the records are not checked together.

    For tools that must see an unsound base; its records remember every line. Nothing is kept.
    """
    rulebook, problems = _read(*_collect(folder, extra))
    return rulebook, tuple(sorted(problems, key=Problem.order))


def _collect(
    folder: Path | None, extra: Sequence[Path]
) -> tuple[list[list[RuleFile]], dict[RuleFile, bytes], list[Problem]]:
    own = folder or own_folder()
    layers: list[list[RuleFile]] = []
    contents: dict[RuleFile, bytes] = {}
    problems: list[Problem] = []
    for place, name in [(own, own.name), *((path, path.as_posix()) for path in extra)]:
        files, faults = rule_files(place, name)
        problems += faults
        readable = []
        for file in files:
            try:
                contents[file] = file.path.read_bytes()
            except OSError as error:
                reason = error.strerror or str(error)
                problems.append(Problem(file.name, None, "", f"a file that cannot be opened: {reason}", ""))
            else:
                readable.append(file)
        layers.append(readable)
    return layers, contents, problems


def _read(
    layers: list[list[RuleFile]], contents: dict[RuleFile, bytes], problems: list[Problem]
) -> tuple[Rulebook, list[Problem]]:
    records = read_records(layers, contents)
    return _assembled(records), [*problems, *records.problems]


def _assembled(records: Records) -> Rulebook:
    ordered = {
        kind: found if kind == "reference_classes" else dict(sorted(found.items()))
        for kind, found in records.kinds.items()
    }
    digests = {name: record_digest(kind, record) for kind, found in ordered.items() for name, record in found.items()}
    digests = dict(sorted(digests.items()))
    return Rulebook(
        digest=base_digest(digests, ordered["reference_classes"]),
        digests=digests,
        **ordered,  # type: ignore[arg-type]  # each kind's records were validated by that kind's model
        origin={name: str(records.places[name]) for name in digests},
        overridden={name: records.overridden[name] for name in digests if name in records.overridden},
        places=records.places,
        broken=records.broken,
    )
