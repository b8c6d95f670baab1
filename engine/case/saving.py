"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from engine.case.locking import Busy, Lock
from engine.errors import InvalidInput, Problem

PATIENCE = 30
"""How long one writer waits for others at the same file [s]; each holds it for the time of one replacement."""


def save_new(path: Path, text: str | bytes) -> None:
    """Write a text (in UTF-8) or bytes to a new file, whole or not at all; FileExistsError where there is one."""
    with path.open("xb") as file:
        try:
            file.write(text if isinstance(text, bytes) else text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        except BaseException:
            path.unlink(missing_ok=True)
            raise


def save_over(path: Path, text: str, before: str) -> None:
    """Replace a file's text at once, through a temporary file in its folder that is on the disk before it takes over.

    ``before`` is the text (without byte order mark) that was read from it; InvalidInput when the file holds another
    by now. The file that a link points to is replaced, not the link; its permissions stay. One writer at a time
    compares and replaces, so that none overwrites what another has just written.
    """
    path = path.resolve()
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.", suffix=".part")
    try:
        with open(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(OSError):
            shutil.copymode(path, name)
        with _alone(path):
            if path.read_bytes().decode("utf-8-sig", "replace") != before:
                found, advice = "a file that was changed in the meantime", "run the command again"
                raise InvalidInput([Problem(str(path), None, "", found, "the file as it was read", advice)])
            os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    with contextlib.suppress(OSError, AttributeError):
        folder = os.open(path.parent, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Be the only writer at a file for a moment; OSError where others do not let go of it."""
    until = time.monotonic() + PATIENCE
    while True:
        try:
            lock = Lock(path.with_name(f".{path.name[:40]}.saving"), "saving", datetime.now())
            break
        except Busy:
            if time.monotonic() > until:
                raise BlockingIOError(errno.EAGAIN, "another program keeps writing to it", str(path)) from None
            time.sleep(0.005)
    with lock:
        yield
