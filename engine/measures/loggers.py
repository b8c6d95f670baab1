"""The loggers of an area, read once from the case's folder for every measure that uses them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from engine.case.models import Area, Logger
from engine.errors import InvalidInput, Problem
from engine.measures.logger_files import Record, read_logger_file
from engine.measures.series import length_days


@dataclass(frozen=True)
class Logged:
    """A logger and its series."""

    logger: Logger
    record: Record

    @property
    def days(self) -> float:
        """Length of the record [days]."""
        return length_days(self.record.times)


@dataclass(frozen=True)
class Loggers:
    """All series of an area in the order of their ids, with what was doubtful or could not be read."""

    series: tuple[Logged, ...] = ()
    doubts: tuple[str, ...] = ()
    limits: tuple[tuple[str, str], ...] = ()

    def of(self, kind: str, column: str, least_days: float) -> tuple[Logged, ...]:
        """Series of a kind with a column that are long enough, the longest first."""
        fit = [
            one
            for one in self.series
            if one.logger.kind == kind and column in one.record.columns and one.days >= least_days
        ]
        return tuple(sorted(fit, key=lambda one: (-one.days, one.logger.id)))


NO_LOGGERS = Loggers()


def read_loggers(area: Area, folder: Path | None, least_days: float) -> Loggers:
    """Every logger's file of an area; ``folder`` is the case's own, without which no file can be read.

    Series shorter than ``least_days`` are kept and named among the limits: they say too little to count as
    logged. InvalidInput with the faults of all files together.
    """
    series: list[Logged] = []
    doubts: list[str] = []
    limits: list[tuple[str, str]] = []
    problems: list[Problem] = []
    for logger in sorted(area.loggers, key=lambda one: one.id):
        if folder is None:
            limits.append((f"logger {logger.id}", "its file was not read, for the case has no folder"))
            continue
        try:
            record = read_logger_file(
                folder, logger.file, logger.kind, date_order=logger.date_order, sha256=logger.sha256
            )
        except InvalidInput as fault:
            problems.extend(fault.problems)
            continue
        one = Logged(logger, record)
        series.append(one)
        doubts.extend(record.doubts)
        if one.days < least_days:
            why = f"its record of {one.days:.1f} days is shorter than the {least_days:g} that count as logged"
            limits.append((f"logger {logger.id}", why))
    if problems:
        raise InvalidInput(problems)
    return Loggers(tuple(series), tuple(doubts), tuple(limits))
