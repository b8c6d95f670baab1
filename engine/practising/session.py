"""One exercise under way: what was asked and found, the views formed, what is concluded; each on the disk at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict

from engine.case import case_digest
from engine.practising.asking import Reply, Request, reply
from engine.practising.costs import NOTHING, Cost
from engine.practising.exercise import Exercise, given
from engine.practising.pieces import Piece
from engine.practising.record import Begun, Entry, Record
from engine.rulebook import Rulebook

PARTS = ("causes", "timber", "steps", "cautions")
"""What a conclusion consists of, in the order in which it is asked for."""


class Changed(Exception):
    """The case of an exercise is not what it was when the exercise was begun."""


class Practice:
    """An exercise with its record. `Changed` where the case is not the one that was begun on."""

    def __init__(self, record: Record, exercise: Exercise, rulebook: Rulebook, begun: Begun | None = None) -> None:
        digest = case_digest(exercise.case)
        if begun is not None and begun.case_digest != digest:
            raise Changed
        self.record, self.exercise, self.rulebook = record, exercise, rulebook
        title = f"{exercise.case.dwelling.title}: {exercise.area.title}"
        self.begun = begun or record.begin(
            exercise.source, exercise.area.id, title, invented=exercise.invented, case_digest=digest
        )
        self.entries: list[Entry] = list(record.entries(self.begun.number))

    @property
    def seen(self) -> frozenset[Piece]:
        """The pieces of evidence found so far, those of the brief among them."""
        found = {tuple(piece) for entry in self.asked for piece in entry.data["pieces"]}
        return given(self.exercise, self.rulebook) | found

    @property
    def asked(self) -> tuple[Entry, ...]:
        """Everything asked for so far."""
        return tuple(entry for entry in self.entries if entry.kind == "asked")

    @property
    def spent(self) -> Cost:
        """What it all cost so far."""
        return sum((entry.cost for entry in self.entries), NOTHING)

    @property
    def last_pressed(self) -> str | None:
        """The surface that readings were taken on last."""
        for entry in reversed(self.asked):
            if entry.data["request"]["kind"] == "press" and entry.data["pieces"]:
                return str(entry.data["pieces"][0][1])
        return None

    def ask(self, request: Request, said: str) -> Reply:
        """Ask for evidence; the answer is on the disk when it is returned. NotMeasured, and GoneOn, as they say."""
        found = reply(self.exercise, self.rulebook, request, self.seen)
        data = {
            "request": asdict(request),
            "title": found.title,
            "lines": list(found.lines),
            "pieces": [list(piece) for piece in found.pieces],
        }
        self._add("asked", said, data, found.cost)
        return found

    def view(self, causes: Mapping[str, float], said: str) -> None:
        """Note a view that is formed: the probability [0..1] of each cause named."""
        self._add("view", said, {"causes": dict(causes)})

    def conclude(self, part: str, said: str, value: Mapping[str, float] | Sequence[str]) -> None:
        """Put one part of the conclusion on the disk; the exercise is concluded with the last."""
        self._add(part, said, {"value": dict(value) if isinstance(value, Mapping) else list(value)})
        if self.wanting is None:
            self.record.conclude(self.begun.number)
            self.begun = self.record.exercise(self.begun.number)

    @property
    def concluding(self) -> bool:
        """Whether the conclusion has been begun; evidence is asked for no more then."""
        return any(entry.kind in PARTS for entry in self.entries)

    @property
    def wanting(self) -> str | None:
        """The part of the conclusion that comes next; None where it is whole."""
        given = {entry.kind for entry in self.entries}
        return next((part for part in PARTS if part not in given), None)

    @property
    def concluded(self) -> bool:
        """Whether the exercise is concluded."""
        return self.begun.concluded is not None

    def _add(self, kind: str, said: str, data: Mapping[str, object], cost: Cost = NOTHING) -> None:
        self.entries.append(self.record.add(self.begun.number, len(self.entries) + 1, kind, said, data, cost))
