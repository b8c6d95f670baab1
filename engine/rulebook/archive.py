"""Rule bases kept by their digests, so that an old case can be replayed with the rules that weighed it.

An archive is a folder; each base in it is a folder of records named by the base's digest, as other bases are, so that
every tool for rule bases reads it. Nothing is believed for its name: the digest of what is read is computed again.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from platformdirs import user_data_path

from engine.errors import InvalidInput, Problem
from engine.rulebook.book import Rulebook
from engine.rulebook.loading import read_rulebook
from engine.version import VERSION

LEAST_DIGITS = 12
"""The fewest digits by which a base may be named; as many as views print."""

_ABOUT = "kept-by.txt"
_NAME = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Kept:
    """A base in an archive: its digest, where it lies, and the version of the program that put it there."""

    digest: str
    folder: Path
    kept_by: str


def own_archive() -> Path:
    """The user's archive, where no other is named."""
    return user_data_path("dampwright", appauthor=False) / "rulebooks"


def kept(archive: Path) -> tuple[Kept, ...]:
    """The bases in an archive, in the order of their digests; none where there is no such folder."""
    return tuple(_kept(archive))


def _kept(archive: Path) -> Iterator[Kept]:
    for folder in sorted(archive.iterdir()) if archive.is_dir() else ():
        if _NAME.fullmatch(folder.name) and folder.is_dir():
            version = "an unknown version"
            with contextlib.suppress(OSError, UnicodeDecodeError):
                version = (folder / _ABOUT).read_text(encoding="utf-8").strip()[:40] or version
            yield Kept(folder.name, folder, version)


def keep(rulebook: Rulebook, archive: Path) -> Kept:
    """Put a base into an archive, whole or not at all, and read it back; one that is there and sound stays as it is.

    InvalidInput where what stands there under its name is another base; OSError where the folder cannot be written to.
    """
    place = archive / rulebook.digest
    if not place.exists():
        archive.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(dir=archive, suffix=".part"))
        try:
            for kind, records in rulebook.kinds.items():
                data = [record.model_dump(mode="json", exclude_defaults=True) for record in records.values()]
                text = json.dumps(data, ensure_ascii=False, indent=1) + "\n"  # which is YAML as well
                (draft / f"{kind}.yaml").write_text(text, encoding="utf-8", newline="\n")
            (draft / _ABOUT).write_text(f"{VERSION}\n", encoding="utf-8", newline="\n")
            os.replace(draft, place)
        except OSError:
            if not place.exists():  # else somebody else put the same base there in the meantime
                raise
        finally:
            shutil.rmtree(draft, ignore_errors=True)
    found, _ = recalled(rulebook.digest, archive)
    return found


def recalled(name: str, archive: Path) -> tuple[Kept, Rulebook]:
    """The base whose digest is ``name`` or begins with it (12 digits or more); InvalidInput says why there is none.

    Its records are read by the models of this version of the program, and their digest must be the one asked for.
    """
    names = [one.digest[:LEAST_DIGITS] for one in kept(archive)]
    matching = [one for one in kept(archive) if one.digest.startswith(name)]
    if not re.fullmatch(r"[0-9a-f]{12,64}", name):
        raise _refused(archive, repr(name), f"{LEAST_DIGITS} to 64 hexadecimal digits of a rule base's digest")
    if len(matching) != 1:
        found = f"{len(matching) or 'no'} rule base{'s' if matching else ''} of digest {name[:LEAST_DIGITS]}"
        allowed = f"one of {', '.join(names)}" if names else "a rule base that was kept; none was kept here"
        advice = "where that base is in use: dampwright rules keep; or name another archive with --rules-archive"
        raise _refused(archive, found, allowed, advice)
    (one,) = matching
    rulebook, faults = read_rulebook(folder=one.folder)
    if faults or rulebook.digest != one.digest:
        found = "records that were changed" if not faults else f"records that cannot be read: {faults[0].sentence()}"
        advice = f"it was kept by version {one.kept_by}, this is {VERSION}; keep it again where it is in use"
        raise _refused(one.folder, found, "the rule base of that digest", advice)
    return one, replace(rulebook, places={})


def _refused(place: Path, found: str, allowed: str, advice: str = "") -> InvalidInput:
    return InvalidInput([Problem(str(place), None, "", found, allowed, advice)])
