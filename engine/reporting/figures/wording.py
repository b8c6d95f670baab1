"""Numbers and words as figures say them."""

from __future__ import annotations

from collections.abc import Iterable

MINUS = "−"


def fixed(value: float, digits: int = 1) -> str:
    """A number to so many decimals at most, without idle zeros: ``27.4``, ``11``, ``−0.5``."""
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", MINUS) if float(text) else "0"


def signed(value: float, digits: int = 1) -> str:
    """A number with its sign, nought without: ``+3.2``, ``−1``, ``0``."""
    text = fixed(value, digits)
    return text if text == "0" or text.startswith(MINUS) else f"+{text}"


def plain(word: str) -> str:
    """A word of the format as it is said: without its hyphens."""
    return word.replace("-", " ")


def capital(text: str) -> str:
    """The same words with the first letter large."""
    return text[:1].upper() + text[1:]


def counted(number: int, one: str, more: str | None = None) -> str:
    """A number of things: ``1 place``, ``3 places``."""
    return f"{number} {one if number == 1 else more or f'{one}s'}"


def span(values: Iterable[float], digits: int = 0) -> str:
    """From the least to the greatest of some values: ``75 to 500``, or ``75`` where they are the same as shown."""
    listed = list(values)
    low, high = fixed(min(listed), digits), fixed(max(listed), digits)
    return low if low == high else f"{low} to {high}"
