"""One session at a time on one case: a lock that the system gives back by itself when its holder dies."""

from __future__ import annotations

import contextlib
import importlib
import os
import socket
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import IO, Any

_FAR = 1 << 20
"""The byte that is locked on Windows, far beyond the text, which others may read."""


class Busy(Exception):
    """The case is open in another session; ``holder`` says which, as far as it is known."""

    def __init__(self, path: Path, holder: str) -> None:
        self.path, self.holder = path, holder
        super().__init__(f"{path}: open in another session ({holder or 'it does not say which'})")


class Lock:
    """A lock file beside the case. Nothing has to be cleaned up after a crash: what counts is the system's lock on it.

    ``Busy`` where another session holds it; OSError where the folder cannot be written to.
    """

    def __init__(self, case: Path, who: str, now: datetime) -> None:
        self.path = case.with_name(f"{case.name}.lock")
        while True:
            self._file: IO[bytes] = open(self.path, "a+b")  # noqa: SIM115 - held until release
            if not _take(self._file):
                self._file.seek(0)
                holder = self._file.read(500).decode("utf-8", "replace").strip()
                self._file.close()
                raise Busy(case, holder)
            if _is_still(self.path, self._file):
                break
            self._file.close()
        self._file.truncate(0)
        said = f"{who}, process {os.getpid()} on {socket.gethostname()}, since {now:%Y-%m-%d %H:%M}"
        self._file.write(said.encode("utf-8"))
        self._file.flush()

    def __enter__(self) -> Lock:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        self.release()

    def release(self) -> None:
        """Give the lock back and take its file away."""
        if os.name == "nt":
            self._file.close()
            with contextlib.suppress(OSError):
                self.path.unlink()
        else:
            with contextlib.suppress(OSError):
                self.path.unlink()
            self._file.close()


def _take(file: IO[bytes]) -> bool:
    """Lock an open file; False where another holds it. Where a file system has no locks, nothing can be held."""
    try:
        if os.name == "nt":
            windows: Any = importlib.import_module("msvcrt")
            file.seek(_FAR)
            windows.locking(file.fileno(), windows.LK_NBLCK, 1)
        else:
            unix: Any = importlib.import_module("fcntl")
            unix.flock(file.fileno(), unix.LOCK_EX | unix.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return True
    return True


def _is_still(path: Path, file: IO[bytes]) -> bool:
    """Whether the locked file is the one that stands there now, and not one that its holder has just taken away."""
    try:
        return os.path.samestat(os.stat(path), os.fstat(file.fileno()))
    except FileNotFoundError:
        return False
