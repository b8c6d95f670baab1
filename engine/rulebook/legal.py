"""The record kinds of the law: dated packs of time limits, and the bank holidays that working days pass over.

They state what a text says and when it was looked up. They decide nothing: a pack is a *possible* duty.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from engine.rulebook.models import Id, Line, Record, Sources, Text, Word


class TimeLimit(BaseModel):
    """One time limit of a duty.

    ``within`` counts ``unit``: hours in whole days of 24 (to the same time of day), working days and weeks as
    the period that begins with the day after. ``counted_from`` is the day on which the landlord became aware or
    the day on which the investigation finished.
    """

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    id: Word
    title: Line
    action: Text
    within: Annotated[int, Field(gt=0, le=1000)]
    unit: Literal["hours", "working-days", "weeks"]
    counted_from: Literal["aware", "finished"]
    clause: Line | None = None

    def period(self) -> str:
        """The limit as it reads: ``10 working days from awareness``."""
        unit = self.unit.replace("-", " ")
        unit = unit.removesuffix("s") if self.within == 1 else unit
        start = {"aware": "awareness", "finished": "the end of the investigation"}[self.counted_from]
        until = ", to the same time of day" if self.unit == "hours" else ""
        return f"{self.within} {unit} from {start}{until}"


class Duty(Record):
    """A pack of legal time limits of one jurisdiction as it stood when it was last looked up.

    Without ``limits`` there is a duty whose figures are not known here. ``bank_holidays`` names the list by
    which its working days are counted.
    """

    topic: Id
    jurisdiction: Word
    in_force_from: date
    checked_on: date
    stale_after_days: Annotated[int, Field(gt=0, le=3660)]
    binds: Text
    triggers: Annotated[tuple[Line, ...], Field(min_length=1)]
    limits: tuple[TimeLimit, ...] = ()
    bank_holidays: Id
    note: Text
    source: Sources


class Holiday(BaseModel):
    """One bank holiday."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    on: date
    title: Line


class BankHolidays(Record):
    """The bank holidays of one or more jurisdictions; complete from and until the days stated, both counted."""

    jurisdictions: Annotated[tuple[Word, ...], Field(min_length=1)]
    complete_from: date
    complete_until: date
    checked_on: date
    days: Annotated[tuple[Holiday, ...], Field(min_length=1)]
    note: Text
    source: Sources
