"""Exit codes, and the one place where errors become messages.

0 done · 1 failure · 2 usage · 3 invalid input · 4 not determined (only with --strict) · 5 partly done ·
130 interrupted. Results go to standard output, messages to standard error.
"""

from __future__ import annotations

import contextlib
import functools
import os
import sys
from collections.abc import Callable, Iterator
from typing import ParamSpec

Parameters = ParamSpec("Parameters")

DONE, FAILURE, USAGE, INVALID, NOT_DETERMINED, PARTLY, INTERRUPTED = 0, 1, 2, 3, 4, 5, 130


def guarded(command: Callable[Parameters, None]) -> Callable[Parameters, None]:
    """Wrap a command so that faults in input are listed and never traced, each with its exit code."""

    @functools.wraps(command)
    def run(*args: Parameters.args, **kwargs: Parameters.kwargs) -> None:
        _prepare_streams()
        with _exit_codes():
            command(*args, **kwargs)

    return run


@contextlib.contextmanager
def _exit_codes() -> Iterator[None]:
    from engine.errors import InvalidInput

    try:
        yield
    except InvalidInput as fault:
        for problem in fault.problems:
            print(problem.sentence(), file=sys.stderr)
        count = len(fault.problems)
        print(f"{count} fault{'' if count == 1 else 's'}; nothing was done.", file=sys.stderr)
        sys.exit(INVALID)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(FAILURE)
    except OSError as fault:
        place = f"{fault.filename}: " if fault.filename else ""
        print(f"{place}{fault.strerror or fault}", file=sys.stderr)
        sys.exit(FAILURE)
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        sys.exit(INTERRUPTED)


def _prepare_streams() -> None:
    """Let a console that lacks a character show a stand-in instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
