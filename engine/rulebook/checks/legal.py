"""Faults in the records of the law that only show when their parts are held beside each other."""

from __future__ import annotations

from collections.abc import Iterator

from engine.errors import Problem
from engine.rulebook.checks.inspection import Inspection
from engine.rulebook.legal import BankHolidays, Duty

_DAY_HOURS = 24


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Bank holidays twice or outside their list's span; limits twice or in part days; lists of other jurisdictions."""
    for holidays in inspection.rulebook.bank_holidays.values():
        yield from _of_days(inspection, holidays)
    for duty in inspection.rulebook.duties.values():
        yield from _of_duty(inspection, duty)


def _of_days(inspection: Inspection, holidays: BankHolidays) -> Iterator[Problem]:
    if holidays.complete_until < holidays.complete_from:
        found = f"{holidays.complete_until}, before complete_from ({holidays.complete_from})"
        yield inspection.problem(holidays.id, ("complete_until",), found, "a later day", "exchange the two")
        return
    earlier = set()
    for number, holiday in enumerate(holidays.days):
        path = ("days", number, "on")
        if holiday.on in earlier:
            yield inspection.problem(holidays.id, path, f"{holiday.on} a second time", "each day once", "delete it")
        elif not holidays.complete_from <= holiday.on <= holidays.complete_until:
            span = f"a day from {holidays.complete_from} to {holidays.complete_until}, for which the list is complete"
            advice = "complete the list for that year and widen the span, or delete the day"
            yield inspection.problem(holidays.id, path, str(holiday.on), span, advice)
        earlier.add(holiday.on)


def _of_duty(inspection: Inspection, duty: Duty) -> Iterator[Problem]:
    names = set()
    for number, limit in enumerate(duty.limits):
        if limit.id in names:
            path = ("limits", number, "id")
            yield inspection.problem(duty.id, path, f"{limit.id!r} a second time", "each limit once", "rename it")
        names.add(limit.id)
        if limit.unit == "hours" and limit.within % _DAY_HOURS:
            path = ("limits", number, "within")
            allowed = "whole days of 24 hours, for only the day of awareness is known"
            yield inspection.problem(duty.id, path, f"{limit.within} hours", allowed, "write a multiple of 24")
    holidays = inspection.rulebook.bank_holidays.get(duty.bank_holidays)
    if holidays is not None and duty.jurisdiction not in holidays.jurisdictions:
        found = f"{holidays.id!r}, which is for {', '.join(holidays.jurisdictions)}"
        allowed = f"a list of bank holidays for {duty.jurisdiction}"
        advice = "name another list, or add the jurisdiction to it"
        yield inspection.problem(duty.id, ("bank_holidays",), found, allowed, advice)
