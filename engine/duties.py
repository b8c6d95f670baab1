"""The days by which a possible legal duty would fall due. Nothing here decides whether there is one.

Everything is reckoned from records: packs of time limits (kind ``duties``) and lists of bank holidays. The clocks
run from the day on which the landlord became aware, not from a diagnosis.
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from engine.rulebook import Rulebook
from engine.rulebook.legal import BankHolidays, Duty, TimeLimit

STANDING = "possible duty, take advice"
"""What every sheet of dates says of itself."""
LANDLORD_CLOCK = "clocks run from landlord awareness"
_SATURDAY = 5


@dataclass(frozen=True, slots=True)
class DueDate:
    """One limit: ``due`` is its last day, or None while the day from which it counts is not known."""

    limit: str
    title: str
    action: str
    period: str
    due: date | None
    clause: str | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """The dates of one pack, with what must be said beside them."""

    duty: str
    title: str
    jurisdiction: str
    standing: str
    binds: str
    triggers: tuple[str, ...]
    dates: tuple[DueDate, ...]
    warnings: tuple[str, ...]
    note: str
    sources: tuple[str, ...]
    in_force_from: date
    checked_on: date


def working_days_after(start: date, count: int, holidays: Container[date] = ()) -> date:
    """The last day of ``count`` working days that begin with the day after ``start``.

    Saturdays, Sundays and ``holidays`` are no working days. ``count`` is 1 or more; ValueError otherwise, or when
    the calendar ends first.
    """
    if count < 1:
        raise ValueError(f"working days are counted from 1, not {count}")
    day = start
    while count:
        if day == date.max:
            raise ValueError("the calendar ends before the period does")
        day += timedelta(days=1)
        if day.weekday() < _SATURDAY and day not in holidays:
            count -= 1
    return day


def last_day(limit: TimeLimit, start: date, holidays: Container[date] = ()) -> date:
    """The last day of a time limit that counts from ``start``; ValueError when the calendar ends first."""
    if limit.unit == "working-days":
        return working_days_after(start, limit.within, holidays)
    days = limit.within // 24 if limit.unit == "hours" else 7 * limit.within
    try:
        return start + timedelta(days=days)
    except OverflowError:
        raise ValueError("the calendar ends before the period does") from None


def due_dates(
    duty: Duty, holidays: BankHolidays | None, *, aware_on: date, finished_on: date | None = None, today: date
) -> tuple[tuple[DueDate, ...], tuple[str, ...]]:
    """The last day of every limit of a pack, and the warnings that belong beside them.

    ``aware_on`` is the day on which the landlord became aware, ``finished_on`` that on which the investigation
    finished, where it has. Limits keep the order of the pack. It warns when the pack has not been looked up for
    longer than it says it may, was not in force on the day of awareness, or holds no figures, and when there is no
    list of bank holidays or it does not reach. ValueError when the investigation finished before awareness.
    """
    if finished_on is not None and finished_on < aware_on:
        raise ValueError(f"the investigation cannot finish ({finished_on}) before the landlord is aware ({aware_on})")
    days = frozenset(holiday.on for holiday in holidays.days) if holidays else frozenset()
    starts = {"aware": aware_on, "finished": finished_on}
    dates = []
    spans = []
    for limit in duty.limits:
        start = starts[limit.counted_from]
        due = last_day(limit, start, days) if start else None
        dates.append(DueDate(limit.id, limit.title, limit.action, limit.period(), due, limit.clause))
        if due and start and limit.unit == "working-days":
            spans.append((start, due))
    warnings = (*_about_pack(duty, aware_on, today), *_about_holidays(holidays, spans))
    return tuple(dates), warnings


def sheets(
    rulebook: Rulebook,
    *,
    jurisdiction: str | None = None,
    aware_on: date,
    finished_on: date | None = None,
    today: date,
) -> tuple[Sheet, ...]:
    """A sheet of dates for every pack of a jurisdiction, or of all, in id order; none where no pack is known.

    ValueError as in `due_dates`.
    """
    found = []
    for duty in rulebook.duties.values():
        if jurisdiction is None or duty.jurisdiction == jurisdiction:
            holidays = rulebook.bank_holidays.get(duty.bank_holidays)
            dates, warnings = due_dates(duty, holidays, aware_on=aware_on, finished_on=finished_on, today=today)
            found.append(_sheet(rulebook, duty, dates, warnings))
    return tuple(found)


def jurisdictions(duties: Mapping[str, Duty]) -> tuple[str, ...]:
    """The jurisdictions for which there is a pack, in order of name."""
    return tuple(sorted({duty.jurisdiction for duty in duties.values()}))


def _about_pack(duty: Duty, aware_on: date, today: date) -> list[str]:
    warnings = []
    age = (today - duty.checked_on).days
    if age > duty.stale_after_days:
        warnings.append(
            f"stale: last looked up on {duty.checked_on}, {age} days ago, and good for {duty.stale_after_days}; "
            "look up the law as it stands"
        )
    if aware_on < duty.in_force_from:
        warnings.append(f"in force from {duty.in_force_from} only, which is after the day of awareness")
    if aware_on > today:
        warnings.append("the day of awareness is in the future")
    if not duty.limits:
        warnings.append("the time limits are not known here; look them up")
    return warnings


def _about_holidays(holidays: BankHolidays | None, spans: list[tuple[date, date]]) -> list[str]:
    if not spans:
        return []
    if holidays is None:
        return ["no list of bank holidays: only Saturdays and Sundays are left out of working days"]
    warnings = []
    if any(start < holidays.complete_from for start, _ in spans):
        warnings.append(f"the list of bank holidays begins on {holidays.complete_from}; earlier ones are not left out")
    if any(due > holidays.complete_until for _, due in spans):
        warnings.append(f"the list of bank holidays ends on {holidays.complete_until}; later ones are not left out")
    return warnings


def _sheet(rulebook: Rulebook, duty: Duty, dates: tuple[DueDate, ...], warnings: tuple[str, ...]) -> Sheet:
    seen = {"read": "read", "secondary": "at second hand", "from_memory": "from memory", None: "not a published source"}
    sources = []
    for citation in duty.source:
        source = rulebook.sources[citation.source]
        clause = f", {citation.clause}" if citation.clause else ""
        sources.append(f"{source.title}{clause} ({seen[source.seen]})")
    return Sheet(
        duty=duty.id,
        title=duty.title,
        jurisdiction=duty.jurisdiction,
        standing=f"{STANDING}; {LANDLORD_CLOCK}",
        binds=duty.binds,
        triggers=duty.triggers,
        dates=dates,
        warnings=warnings,
        note=duty.note,
        sources=tuple(sources),
        in_force_from=duty.in_force_from,
        checked_on=duty.checked_on,
    )
