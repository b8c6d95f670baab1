"""User text as data for spreadsheets and pages of text: on one line, printable, and never a formula."""

from __future__ import annotations

import re

_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]"
)
_SPACE = re.compile("[\t\n\r\u2028\u2029]+")
_FORMULA = re.compile('(^|[,;|])([\\s"]*)(?=[=+\\-@\uff1d\uff0b\uff0d\uff20])')


def one_line(text: str) -> str:
    """The text with line ends and tabs as spaces, and every character that does not print as U+FFFD."""
    return _UNPRINTABLE.sub("\ufffd", _SPACE.sub(" ", text))


def inert(text: str) -> str:
    """One line of text that no spreadsheet takes for a formula when it opens separated text.

    An apostrophe goes before =, +, - and @ (also full-width) at the start of the text and after a comma, a semicolon
    or a bar, where a program with other list separators would begin a new cell.
    Source: OWASP, *CSV injection* (from memory).
    """
    return _FORMULA.sub(r"\1\2'", one_line(text))


def encodable(text: str) -> str:
    """The text with every half of a surrogate pair, as names of files may hold them, as U+FFFD."""
    return text.encode("utf-8", "replace").decode("utf-8") if not text.isascii() else text
