"""Damage done to good files, for every reader to be held against: text, bytes, and data moved about.

The damage is drawn by hypothesis as a short list of steps, so that what breaks a reader shrinks to the step that
does. ``examples`` says how many are drawn: few in the suite, many in the soak form (DAMPWRIGHT_SOAK=1), which counts
them aloud.
"""

from __future__ import annotations

import contextlib
import copy
import os
import signal
import sys
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from engine.errors import InvalidInput

ROOT = Path(__file__).resolve().parents[1]
SOAK = bool(os.environ.get("DAMPWRIGHT_SOAK"))
SHARE = float(os.environ.get("DAMPWRIGHT_FUZZ_SHARE", "1"))
"""Of the examples of the soak form, how many are drawn."""
TOO_LONG = 60
"""Seconds after which a reader counts as hung; none needs one, and the machine may be busy."""
drawn: Counter[str] = Counter()

TEXTS = [
    "", " ", "\n", "\r\n", "\r", "\t", "\x00", "\x1b[31m", "\ufeff", "\ufffe", "\ud800", "\u2028", "\u202e", "\x85",
    "=1+1", "{{7*7}}", "{% for x in y %}", "<script>", "[bold]", "%s%n", "../../etc/passwd", "C:\\con", "nul", "~",
    "null", "true", "no", "NaN", "nan", "inf", "-inf", ".inf", "1e999", "-1e999", "1e-999", "0x10", "0o17", "1_000",
    "9" * 30, "9" * 400, "-0", "--1", "+", "-", ".", ",", ":", ": ", "- ", "? ", "#", "&a", "*a", "!!python/object:os",
    "!tag x", "%YAML 1.1", "---", "...", "|", ">", "{", "}", "[", "]", '"', "'", "\\", "\\u0000", "\\ud800", "<<: *a",
    "é", "水", "𝄞", "١٢", "½", "²", "2025-02-30", "0000-00-00", "9999-99-99", "25:61", "12/13/14", "T", "Z", "+99:99",
    "a" * 70, "x" * 5_000, "1,5", "1.250,5", "1 000", "50%", "−5", "~5", "5±1",
]  # fmt: skip
VALUES: list[Any] = [
    None, True, False, 0, -1, 1, 0.5, -0.0, 1e308, -1e308, 1e-308, 2**53, 2**63, "", "x", "no", "unknown", [], {}, [[]],
    [None], {"": None}, {"id": {}}, [1, "a", None, []], "a" * 301, "\x00", "é", {"a": {"b": {"c": {}}}}, "2026-02-30",
    "9999-12-31", "ground-rise", "not-inspected", "../x", "CON", [{}] * 3, ["pins"] * 50, 99999999, "-5",
]  # fmt: skip
_WHERE = st.floats(0, 1, allow_nan=False)
_PAYLOAD = st.one_of(st.sampled_from(TEXTS), st.text(max_size=6))
_STEPS = ("insert", "delete", "repeat", "replace-word", "swap-lines", "drop-line", "indent", "cut", "line-ends")
text_damage = st.lists(st.tuples(st.sampled_from(_STEPS), _WHERE, _WHERE, _PAYLOAD), min_size=1, max_size=5)
_BYTES = [b"\x00", b"\xff", b"\xfe\xff", b"\xff\xfe", b"\xef\xbb\xbf", b"\xed\xa0\x80", b"\xc3", b"\x80", b"PK\x03\x04"]
byte_damage = st.lists(
    st.tuples(st.sampled_from(("insert", "delete", "flip", "cut")), _WHERE, _WHERE, st.sampled_from(_BYTES)),
    min_size=1,
    max_size=4,
)
_MOVES = ("set", "drop", "add", "repeat", "move", "rename", "empty")
data_damage = st.lists(
    st.tuples(st.sampled_from(_MOVES), st.integers(0, 2**32), st.integers(0, 2**32), st.sampled_from(VALUES)),
    min_size=1,
    max_size=4,
)


def examples(few: int, many: int) -> Callable[[Any], Any]:
    """The hypothesis settings of a fuzz test: so many examples in the suite, and in the soak form."""
    return settings(
        max_examples=max(1, int(many * SHARE)) if SOAK else few,
        deadline=None,
        derandomize=not SOAK,
        database=None,
        suppress_health_check=list(HealthCheck),
        print_blob=True,
    )


def damaged_text(text: str, steps: list[tuple[str, float, float, str]]) -> str:
    """A text after damage."""
    for step, one, other, payload in steps:
        text = _damaged(text, step, one, other, payload)
    return text


def _damaged(text: str, step: str, one: float, other: float, payload: str) -> str:
    at = int(one * len(text))
    to = at + int(other**3 * (len(text) - at))
    lines = text.split("\n")
    row, second = int(one * (len(lines) - 1)), int(other * (len(lines) - 1))
    if step == "insert":
        return text[:at] + payload + text[at:]
    if step == "delete":
        return text[:at] + text[to:]
    if step == "repeat":
        return text[:to] + text[at : min(to, at + 2_000)] + text[to:]
    if step == "cut":
        return text[:at]
    if step == "line-ends":
        return text.replace("\n", ("\r\n", "\r", "\u2028", "\n\n", "")[int(other * 4.99)])
    if step == "swap-lines":
        lines[row], lines[second] = lines[second], lines[row]
    elif step == "drop-line":
        del lines[row]
    elif step == "indent":
        lines[row] = " " * int(other * 5) + lines[row].lstrip(" ")
    else:
        words = lines[row].split(" ")
        words[int(other * (len(words) - 1))] = payload
        lines[row] = " ".join(words)
    return "\n".join(lines)


def damaged_bytes(content: bytes, steps: list[tuple[str, float, float, bytes]]) -> bytes:
    """Bytes after damage."""
    for step, one, other, payload in steps:
        at = int(one * len(content))
        to = at + int(other**3 * (len(content) - at))
        if step == "insert":
            content = content[:at] + payload + content[at:]
        elif step == "delete":
            content = content[:at] + content[to:]
        elif step == "cut":
            content = content[:at]
        elif at < len(content):
            content = content[:at] + bytes([content[at] ^ (1 << int(other * 7.99))]) + content[at + 1 :]
    return content


def damaged_data(data: Any, steps: list[tuple[str, int, int, Any]]) -> Any:
    """Data of mappings and lists after damage, the data itself as it was."""
    root = {"root": copy.deepcopy(data)}
    for step, one, other, value in steps:
        places = list(_places(root))
        holder, key = places[one % len(places)]
        value = copy.deepcopy(value)
        if step == "set":
            holder[key] = value
        elif step == "empty":
            holder[key] = type(holder[key])() if holder[key] is not None else {}
        elif step == "move":
            elsewhere, name = places[other % len(places)]
            holder[key] = copy.deepcopy(elsewhere[name])
        elif isinstance(holder, list):
            if step in ("drop", "rename"):
                del holder[key]
            else:
                holder.extend([copy.deepcopy(holder[key])] * (1 + other % 3))
        elif holder is not root:
            if step in ("drop", "rename"):
                kept = holder.pop(key)
                if step == "rename":
                    holder[f"{key}s" if other % 2 else "no_such_field"] = kept
            else:
                holder[("note", "file", "visit", "x", "id")[other % 5]] = value
    return root["root"]


def _places(holder: Any) -> Iterator[tuple[Any, Any]]:
    waiting = [holder]
    while waiting:
        part = waiting.pop()
        for key, value in part.items() if isinstance(part, dict) else enumerate(part):
            yield part, key
            if isinstance(value, (dict, list)) and value:
                waiting.append(value)


class Hung(Exception):
    """A reader took so long that it counts as hung."""


@contextlib.contextmanager
def watched(reader: str) -> Iterator[None]:
    """Count one input, allow InvalidInput with sentences that can be shown, and let nothing take forever."""
    drawn[reader] += 1
    alarm = hasattr(signal, "SIGALRM") and threading.current_thread() is threading.main_thread()

    def ring(number: int, frame: object) -> None:
        raise Hung(f"{reader} took more than {TOO_LONG} s")

    if alarm:
        before = signal.signal(signal.SIGALRM, ring)
        signal.alarm(TOO_LONG)
    try:
        yield
    except InvalidInput as fault:
        sound(fault)
    finally:
        if alarm:
            signal.alarm(0)
            signal.signal(signal.SIGALRM, before)


def sound(fault: InvalidInput) -> None:
    """What a refusal must be: at least one fault, not endlessly many, each a sentence that a person can take in."""
    assert fault.problems
    assert len(fault.problems) <= 450
    for problem in fault.problems:
        assert problem.found
        sentence = problem.sentence()
        assert len(sentence) < 4_000, sentence[:200]
        assert "\n" not in problem.found, problem


def told() -> None:
    """Say how many inputs each reader was given, in the soak form."""
    if SOAK:
        total = sum(drawn.values())
        sys.stdout.write(f"\n{total:,} inputs so far: {', '.join(f'{name} {n:,}' for name, n in drawn.items())}\n")
