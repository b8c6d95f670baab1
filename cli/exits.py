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
        with exit_codes():
            command(*args, **kwargs)

    return run


@contextlib.contextmanager
def exit_codes() -> Iterator[None]:
    """Turn what ends a command into a message and its exit code, what cannot be written to the output included."""
    from engine.errors import InvalidInput

    _prepare_streams()
    try:
        try:
            yield
        finally:
            if sys.stdout is not None:
                sys.stdout.flush()
    except InvalidInput as fault:
        for problem in fault.problems:
            print(problem.sentence(), file=sys.stderr)
        count = len(fault.problems)
        print(f"{count} fault{'' if count == 1 else 's'}; nothing was done.", file=sys.stderr)
        sys.exit(INVALID)
    except BrokenPipeError:
        _let_go_of_output()
        sys.exit(FAILURE)
    except OSError as fault:
        _let_go_of_output()
        place = f"{fault.filename}: " if fault.filename else ""
        print(f"{place}{fault.strerror or fault}", file=sys.stderr)
        sys.exit(FAILURE)
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        sys.exit(INTERRUPTED)


def _let_go_of_output() -> None:
    """Where standard output takes no more, let what still waits for it go: the end of the program must not fail."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        try:
            sys.stdout.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _prepare_streams() -> None:
    """Let a console that lacks a character show a stand-in instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
