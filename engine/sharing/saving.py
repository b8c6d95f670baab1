"""A case and the files that go with it, written together or not at all; nothing that is there is written over."""

from __future__ import annotations

import contextlib
import errno
from collections.abc import Mapping
from pathlib import Path

from engine.case.saving import save_new


def folder_name(output: Path) -> str:
    """The name of the folder, beside a new case, for the files that go with it."""
    return f"{output.stem}-files"


def save_together(output: Path, text: str, beside: Mapping[str, bytes]) -> None:
    """Write a case's text and the files it names, whose names begin with `folder_name`.

    FileExistsError for a case or folder that is there already; whatever goes wrong, nothing is left behind.
    """
    if output.exists():
        raise FileExistsError(errno.EEXIST, "already exists and is left as it is; choose another name", str(output))
    folder = output.parent / folder_name(output)
    made: list[Path] = []
    try:
        if beside:
            _make(folder)
            made.append(folder)
        for name, content in beside.items():
            save_new(output.parent / name, content)
            made.append(output.parent / name)
        save_new(output, text)
    except BaseException:
        for path in reversed(made):
            with contextlib.suppress(OSError):
                path.rmdir() if path == folder else path.unlink()
        raise


def _make(folder: Path) -> None:
    try:
        folder.mkdir()
    except FileExistsError:
        said = "already exists and is left as it is; choose another name for the case"
        raise FileExistsError(errno.EEXIST, said, str(folder)) from None
