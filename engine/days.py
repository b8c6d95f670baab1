"""Days as they are read aloud, in words that do not depend on the machine's language."""

from __future__ import annotations

from datetime import date

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def day_words(day: date, *, weekday: bool = True) -> str:
    """A day in words: ``Monday 16 November 2026``, or without its weekday."""
    name = f"{_WEEKDAYS[day.weekday()]} " if weekday else ""
    return f"{name}{day.day} {_MONTHS[day.month - 1]} {day.year}"
