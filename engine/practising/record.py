"""The record of a trainee's practice: exercises, everything asked and said in them, and how forecasts came out.

One SQLite file in the trainee's own data folder. Every entry is a transaction of its own, on the disk before the call
returns, so that a session that is killed goes on with its last entry.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from engine.errors import InvalidInput, Problem
from engine.practising.costs import NOTHING, Cost
from engine.practising.exercise import Source

FORMAT = 1
FILE = "practice.sqlite"
WAIT_SECONDS = 5.0
"""How long a session waits for another that is writing."""

_TABLES = """
CREATE TABLE exercises (
  number INTEGER PRIMARY KEY AUTOINCREMENT, kind TEXT NOT NULL, name TEXT NOT NULL, level INTEGER, topic TEXT,
  area TEXT NOT NULL, title TEXT NOT NULL, invented INTEGER NOT NULL, case_digest TEXT NOT NULL, begun TEXT NOT NULL,
  concluded TEXT, reviewed TEXT, review TEXT
);
CREATE TABLE entries (
  exercise INTEGER NOT NULL REFERENCES exercises(number) ON DELETE CASCADE, number INTEGER NOT NULL, time TEXT NOT NULL,
  kind TEXT NOT NULL, said TEXT NOT NULL, data TEXT NOT NULL, minutes REAL NOT NULL, pounds REAL NOT NULL,
  PRIMARY KEY (exercise, number)
);
CREATE TABLE forecasts (
  exercise INTEGER NOT NULL REFERENCES exercises(number) ON DELETE CASCADE, cause TEXT NOT NULL,
  probability REAL NOT NULL, came_true INTEGER NOT NULL, named INTEGER NOT NULL, PRIMARY KEY (exercise, cause)
);
CREATE TABLE exercise_topics (
  exercise INTEGER NOT NULL REFERENCES exercises(number) ON DELETE CASCADE, topic TEXT NOT NULL,
  PRIMARY KEY (exercise, topic)
);
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing asked or said: ``kind`` asked, view, causes, timber, steps or cautions; ``said`` as it was typed."""

    number: int
    time: str
    kind: str
    said: str
    data: Mapping[str, Any]
    cost: Cost


@dataclass(frozen=True, slots=True)
class Begun:
    """One exercise of the record; days and times in ISO 8601, ``review`` as plain data."""

    number: int
    source: Source
    area: str
    title: str
    invented: bool
    case_digest: str
    begun: str
    concluded: str | None
    reviewed: str | None
    review: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True)
class Forecast:
    """A probability that was stated of a cause in an exercise, and whether the cause was at work.

    A true cause that was not ``named`` counts as having been given 0.
    """

    exercise: int
    cause: str
    probability: float
    came_true: bool
    named: bool


class GoneOn(Exception):
    """Another session has gone on with the exercise meanwhile."""


class Record:
    """An open record; InvalidInput for a file that is none, OSError where it cannot be written."""

    def __init__(self, folder: Path, clock: Callable[[], datetime] = datetime.now) -> None:
        self.path, self._clock = folder / FILE, clock
        folder.mkdir(parents=True, exist_ok=True)
        with self._faults():
            self._rows = sqlite3.connect(self.path, timeout=WAIT_SECONDS, isolation_level=None)
        try:
            with self._faults():
                self._rows.execute("PRAGMA synchronous = FULL")
                self._rows.execute("PRAGMA foreign_keys = ON")
                self._prepare()
        except BaseException:
            self._rows.close()
            raise

    def __enter__(self) -> Record:
        return self

    def __exit__(self, *fault: object) -> None:
        self._rows.close()

    def _prepare(self) -> None:
        with self._transaction():
            found = self._rows.execute("PRAGMA user_version").fetchone()[0]
            if found > FORMAT:
                said = f"a practice record of format {found}"
                raise InvalidInput(
                    [Problem(str(self.path), None, "", said, f"format {FORMAT}", "use the newer program")]
                )
            if found == 0:
                for statement in _TABLES.split(";"):
                    self._rows.execute(statement)
                self._rows.execute(f"PRAGMA user_version = {FORMAT}")

    @contextlib.contextmanager
    def _faults(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.OperationalError as fault:
            raise OSError(None, str(fault), str(self.path)) from fault
        except sqlite3.DatabaseError as fault:
            advice = "move it elsewhere; a new record is begun then"
            found = f"a file that is no practice record ({fault})"
            raise InvalidInput([Problem(str(self.path), None, "", found, "a practice record", advice)]) from fault

    @contextlib.contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        with self._faults():
            self._rows.execute("BEGIN IMMEDIATE")
            try:
                yield self._rows
            except BaseException:
                self._rows.execute("ROLLBACK")
                raise
            self._rows.execute("COMMIT")

    def _now(self) -> str:
        return self._clock().isoformat(timespec="seconds")

    def begin(self, source: Source, area: str, title: str, *, invented: bool, case_digest: str) -> Begun:
        """A new exercise."""
        with self._transaction() as rows:
            found = rows.execute(
                "INSERT INTO exercises (kind, name, level, topic, area, title, invented, case_digest, begun)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (source.kind, source.name, source.level, source.topic, area, title, invented, case_digest, self._now()),
            )
            number = int(found.lastrowid or 0)
        return self.exercise(number)

    def exercise(self, number: int) -> Begun:
        """An exercise by its number; KeyError where there is none."""
        for begun in self.exercises():
            if begun.number == number:
                return begun
        raise KeyError(number)

    def exercises(self) -> tuple[Begun, ...]:
        """Every exercise, the first first."""
        with self._faults():
            rows = self._rows.execute(
                "SELECT number, kind, name, level, topic, area, title, invented, case_digest, begun, concluded,"
                " reviewed, review FROM exercises ORDER BY number"
            ).fetchall()
        return tuple(
            Begun(
                number=row[0],
                source=Source(row[1], row[2], row[3], row[4]),
                area=row[5],
                title=row[6],
                invented=bool(row[7]),
                case_digest=row[8],
                begun=row[9],
                concluded=row[10],
                reviewed=row[11],
                review=json.loads(row[12]) if row[12] else None,
            )
            for row in rows
        )

    def entries(self, exercise: int) -> tuple[Entry, ...]:
        """Everything asked and said in an exercise, in order."""
        with self._faults():
            rows = self._rows.execute(
                "SELECT number, time, kind, said, data, minutes, pounds FROM entries WHERE exercise = ?"
                " ORDER BY number",
                (exercise,),
            ).fetchall()
        return tuple(Entry(row[0], row[1], row[2], row[3], json.loads(row[4]), Cost(row[5], row[6])) for row in rows)

    def add(
        self, exercise: int, number: int, kind: str, said: str, data: Mapping[str, Any], cost: Cost = NOTHING
    ) -> Entry:
        """Put an entry on the disk; GoneOn where one with this number is there or the exercise is concluded."""
        time = self._now()
        with self._transaction() as rows:
            last = rows.execute("SELECT MAX(number) FROM entries WHERE exercise = ?", (exercise,)).fetchone()[0] or 0
            done = rows.execute("SELECT concluded FROM exercises WHERE number = ?", (exercise,)).fetchone()
            if done is None or done[0] is not None or last != number - 1:
                raise GoneOn
            rows.execute(
                "INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (exercise, number, time, kind, said, json.dumps(data, ensure_ascii=False), cost.minutes, cost.pounds),
            )
        return Entry(number, time, kind, said, data, cost)

    def conclude(self, exercise: int) -> None:
        """Mark an exercise as concluded; nothing more is added to it."""
        with self._transaction() as rows:
            rows.execute(
                "UPDATE exercises SET concluded = ? WHERE number = ? AND concluded IS NULL", (self._now(), exercise)
            )

    def keep_review(
        self,
        exercise: int,
        review: Mapping[str, Any],
        forecasts: Mapping[str, tuple[float, bool, bool]],
        topics: Sequence[str],
    ) -> None:
        """Keep a review with its forecasts {cause: (probability, came true, named)}; once there is one it stays."""
        with self._transaction() as rows:
            done = rows.execute("SELECT reviewed FROM exercises WHERE number = ?", (exercise,)).fetchone()
            if done is None or done[0] is not None:
                return
            rows.execute(
                "UPDATE exercises SET reviewed = ?, review = ? WHERE number = ?",
                (self._now(), json.dumps(review, ensure_ascii=False), exercise),
            )
            rows.executemany(
                "INSERT INTO forecasts VALUES (?, ?, ?, ?, ?)",
                [(exercise, cause, *stated) for cause, stated in sorted(forecasts.items())],
            )
            rows.executemany("INSERT INTO exercise_topics VALUES (?, ?)", [(exercise, topic) for topic in topics])

    def forecasts(self) -> tuple[Forecast, ...]:
        """Every forecast that was scored, in order of exercises and causes."""
        with self._faults():
            rows = self._rows.execute("SELECT * FROM forecasts ORDER BY exercise, cause").fetchall()
        return tuple(Forecast(row[0], row[1], row[2], bool(row[3]), bool(row[4])) for row in rows)

    def topics(self) -> Mapping[int, tuple[str, ...]]:
        """The topics of every reviewed exercise."""
        with self._faults():
            rows = self._rows.execute("SELECT exercise, topic FROM exercise_topics ORDER BY exercise, rowid").fetchall()
        found: dict[int, list[str]] = {}
        for exercise, topic in rows:
            found.setdefault(exercise, []).append(topic)
        return {exercise: tuple(names) for exercise, names in found.items()}

    def delete(self) -> None:
        """Remove the whole record from the disk."""
        self._rows.close()
        for path in (self.path, *(self.path.with_name(f"{FILE}{end}") for end in ("-journal", "-wal", "-shm"))):
            path.unlink(missing_ok=True)
