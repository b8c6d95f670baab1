"""What the evidence asked for told, and what would still have been told by what was never asked for."""

from __future__ import annotations

from collections.abc import Mapping

from engine.practising import pieces as kinds
from engine.practising.asking import Request, reply
from engine.practising.costs import Cost, cost
from engine.practising.models import MissedEvidence, Told
from engine.practising.pieces import Piece
from engine.practising.record import Entry
from engine.practising.replay import Moment
from engine.practising.subject import Subject
from engine.rulebook.models import Question

EFFORTS = {
    kinds.READING: "press",
    kinds.DRY: "press",
    kinds.CHECK: "look",
    kinds.PLAN: "meter",
    kinds.AIR: "meter",
    kinds.SURFACE_TEMPERATURE: "meter",
    kinds.SAMPLE: "laboratory",
    kinds.TIMBER: "press",
    kinds.LOGGER: "logging",
}
_ONE_BY_ONE = (kinds.READING, kinds.DRY, kinds.TIMBER, kinds.LOGGER)
"""Kinds of which every piece takes the effort again."""


def told(moments: tuple[Moment, ...], least: float) -> tuple[Told, ...]:
    """What told at least so much [bits], most first."""
    found = [Told(one.title, one.answer, one.bits) for one in moments if one.kind == "asked" and one.bits >= least]
    return tuple(sorted(found, key=lambda one: (-one.bits, one.title)))


def idle_entries(subject: Subject, moments: tuple[Moment, ...]) -> list[tuple[Entry, Moment]]:
    """What was asked for and told hardly anything; questions of safety are asked for another reason and never idle."""
    least = subject.rulebook.parameter("practice-idle-below")
    asked = [one for one in moments if one.kind == "asked"]
    questions = subject.rulebook.questions
    return [
        (entry, moment)
        for entry, moment in zip(subject.asked, asked, strict=True)
        if moment.bits < least and not _of_safety(questions, entry)
    ]


def _of_safety(questions: Mapping[str, Question], entry: Entry) -> bool:
    request = entry.data["request"]
    return request["kind"] == "question" and questions[request["name"]].safety


def missed(subject: Subject) -> tuple[MissedEvidence, ...]:
    """Evidence never asked for that would have told something worth naming beyond all that was found, most first."""
    least = subject.rulebook.parameter("practice-missed-from")
    found = []
    for pieces in _groups(subject.everything - subject.seen):
        bits = subject.replay.told(subject.found, subject.replay.state(subject.seen | pieces))
        if bits >= least:
            found.append(_named(subject, pieces, bits))
    return tuple(sorted(found, key=lambda one: (-one.bits, one.id)))


def _groups(left: frozenset[Piece]) -> list[frozenset[Piece]]:
    """What is taken together: readings of one instrument on one surface, samples, timber and loggers; else each."""
    groups: dict[Piece, set[Piece]] = {}
    for piece in left:
        together: Piece = piece
        if piece[0] == kinds.READING:
            together = (piece[0], piece[1], piece[4])
        elif piece[0] in (kinds.SAMPLE, kinds.TIMBER, kinds.LOGGER):
            together = piece[:1]
        groups.setdefault(together, set()).add(piece)
    return [frozenset(groups[together]) for together in sorted(groups)]


def _named(subject: Subject, pieces: frozenset[Piece], bits: float) -> MissedEvidence:
    kind, *rest = min(pieces)
    if kind == kinds.QUESTION:
        answer = reply(subject.exercise, subject.rulebook, Request("question", rest[0]), subject.seen)
        question = subject.rulebook.questions[rest[0]]
        spent = cost(subject.rulebook, question.effort)
        return MissedEvidence(rest[0], question.title, "; ".join(answer.lines), bits, spent.words())
    times = len(pieces) if kind in _ONE_BY_ONE else 1
    title = {
        kinds.READING: "readings with {2} on {0}",
        kinds.DRY: "a dry reference for {1}",
        kinds.CHECK: "the reference check of {0}",
        kinds.PLAN: "{0} measured up",
        kinds.AIR: "the air of the room",
        kinds.SURFACE_TEMPERATURE: "the temperature of the surface",
        kinds.SAMPLE: "drilled samples, weighed",
        kinds.TIMBER: "readings in timber",
        kinds.LOGGER: "loggers",
    }[kind].format(*_places(kind, rest))
    return MissedEvidence(kind, title, "", bits, _cost(subject, kind, times).words())


def _places(kind: str, rest: list[str]) -> tuple[str, ...]:
    words = [part.replace("-", " ") for part in rest]
    return (words[0], "", words[3]) if kind == kinds.READING else tuple(words)


def _cost(subject: Subject, kind: str, times: int) -> Cost:
    return cost(subject.rulebook, EFFORTS[kind], times)
