"""Where answers come from: a terminal with line editing, or lines that a script or a file pipes in."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable


class Lines:
    """One line after another; ``None`` at their end. ``typed`` says whether a person types them at a terminal."""

    def __init__(self, *, allowed: bool = True) -> None:
        self.allowed = allowed
        self.read = 0
        self.typed = allowed and sys.stdin is not None and sys.stdin.isatty()
        if self.typed:
            with contextlib.suppress(ImportError):
                import readline  # noqa: F401 - importing it gives input() editing and history

    def next(self, prompt: str = "> ") -> str | None:
        """The next line without its end; piped lines are shown after the prompt, as if they had been typed."""
        if not self.allowed or sys.stdin is None:
            return None
        if self.typed:
            try:
                line: str | None = input(prompt)
            except EOFError:
                print()
                line = None
        else:
            line = self._piped(prompt)
        self.read += line is not None
        return line

    @staticmethod
    def _piped(prompt: str) -> str | None:
        line = sys.stdin.readline()
        if not line:
            return None
        line = line.rstrip("\r\n")
        shown = "".join(sign if sign.isprintable() else "?" for sign in line)
        print(f"{prompt}{shown}", flush=True)
        return line


Ask = Callable[[str], str | None]
