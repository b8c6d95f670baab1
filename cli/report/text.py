"""Text of a case on its way into a file: nothing in it is read as a control code or a change of direction."""

from __future__ import annotations

import re

_UNSEEN = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]"
)
_SURROGATE = re.compile(r"[\ud800-\udfff]")


def shown(text: str) -> str:
    """The text with every control code and direction mark made visible: ``[U+202E]``; all else as it is.

    The reader of cases refuses most of these; what reaches a report some other way stays inert all the same.
    """
    return _SURROGATE.sub(_code, _UNSEEN.sub(_code, text))


def _code(match: re.Match[str]) -> str:
    return f"[U+{ord(match[0]):04X}]"
