"""Where cases to practise on come from: the casebook's practice material, a file, or a new one made from a seed."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path

from engine.case import read_case
from engine.case.models import Case
from engine.errors import InvalidInput, Problem, nearest
from engine.opinion.casebook import case_files, own_casebook
from engine.practising.exercise import Exercise, Source, exercise, level, topics
from engine.rulebook import Rulebook

LEVELS = (1, 2, 3, 4)
HELD_BACK = "frozen"
"""The set of cases that is no practice material: no rule is tuned to it, and nobody should learn it by heart."""


def material(rulebook: Rulebook) -> Iterator[Exercise]:
    """Every area of the casebook that may be practised on, easiest first, then by the digest of its name.

    So that neighbours in the order are not neighbours in the alphabet, where one author's cases stand together.
    """
    found = []
    for path in case_files((own_casebook(),)):
        if path.parent.name == "check":
            continue
        case = read_case(path, vocabulary=rulebook)
        if case.key is None or case.key.set == HELD_BACK:
            continue
        for key in case.key.areas:
            found.append(exercise(Source("casebook", path.stem), case, key.area, path.parent))
    yield from sorted(found, key=_order)


def _order(one: Exercise) -> tuple[int, str]:
    from hashlib import sha256

    hard = level(one.key) if one.key else LEVELS[-1]
    return hard, sha256(f"{one.source.name}/{one.area.id}".encode()).hexdigest()


def pick(
    rulebook: Rulebook, done: Collection[tuple[str, str]], *, topic: str | None = None, hard: int | None = None
) -> Exercise | None:
    """The first exercise of the casebook not yet done, of a topic and a level; None where all are done.

    ``done`` holds (case, area) pairs.
    """
    for one in material(rulebook):
        if (one.source.name, one.area.id) in done or one.key is None:
            continue
        if topic is not None and topic not in topics(one.key, rulebook):
            continue
        if hard is None or level(one.key) == hard:
            return one
    return None


def opened(rulebook: Rulebook, source: Source, area: str | None) -> Exercise:
    """The exercise of a source; InvalidInput for a case that is not there, has faults, or is held back."""
    if source.kind == "new":
        return exercise(source, made(rulebook, source), area, None)
    path = _casebook_file(source.name) if source.kind == "casebook" else Path(source.name)
    case = read_case(path, vocabulary=rulebook)
    if case.key is not None and case.key.set == HELD_BACK:
        found = "a case of the frozen set, which is held back for checking the rules"
        raise InvalidInput([Problem(str(path), None, "key.set", found, "demo, tuned or practice")])
    try:
        return exercise(source, case, area, path.parent)
    except KeyError:
        names = [one.id for one in case.areas]
        found, close = repr(area), nearest(area or "", names)
        raise InvalidInput([Problem(str(path), None, "--area", found, ", ".join(names), "", close)]) from None


def made(rulebook: Rulebook, source: Source) -> Case:
    """The made-up case of a seed; InvalidInput for a seed, level or topic that there is none of."""
    from engine.synthesis.cases import make_case

    try:
        return make_case(int(source.name), rulebook, level=source.level, topic=source.topic)
    except ValueError as fault:
        raise InvalidInput([Problem("--new", None, "", str(fault), "")]) from fault


def named(name: str) -> Source:
    """The source that a name on the command line means: a file that is there, else a case of the casebook."""
    path = Path(name)
    if path.exists():
        return Source("file", str(path.resolve()))
    _casebook_file(name)
    return Source("casebook", name)


def _casebook_file(name: str) -> Path:
    files = {path.stem: path for path in case_files((own_casebook(),)) if path.parent.name != "check"}
    if name in files:
        return files[name]
    close = nearest(name, files)
    allowed = "a case file, or the name of a worked case of the casebook"
    raise InvalidInput([Problem(name, None, "", "no such file or case", allowed, "", close)])
