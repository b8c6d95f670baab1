"""The answers of a worked case, which stand in its file and which nothing that forms an opinion reads."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from engine.case.base import Model
from engine.case.quantities import Comment, Id
from engine.case.words import DataKind, TimberState, TruthGrade


class AreaKey(Model):
    """What is true of one area of a worked case, what must be said, and what a junior would wrongly say.

    ``telling`` (attributes) and ``telling_data`` (kinds of data) name the evidence without which the area
    must come out *not determined*, with one of ``parting_steps`` named as the test that parts what stays open.
    ``junior`` is the wrong answer, none where it is that nothing is damp; ``breaks_junior`` (findings) breaks it, and
    one of ``catches_junior`` (steps; where there are none, ``parting_steps``) would have caught it.
    """

    area: Id
    truth: Annotated[tuple[Id, ...], Field(max_length=20)]
    grade: TruthGrade
    determined: bool = True
    level: Literal["cause", "mechanism"] | None = None
    telling: tuple[Id, ...] = ()
    telling_data: tuple[DataKind, ...] = ()
    parting_steps: tuple[Id, ...] = ()
    steps: tuple[Id, ...] = ()
    cautions: tuple[Id, ...] = ()
    timber: TimberState | None = None
    junior: Id | None = None
    junior_says: Comment | None = None
    breaks_junior: tuple[Id, ...] = ()
    catches_junior: tuple[Id, ...] = ()
    source: Comment | None = None


class Key(Model):
    """The answers of a worked case. No part of the engine that forms an opinion reads this."""

    areas: Annotated[tuple[AreaKey, ...], Field(min_length=1, max_length=100)]
    set: Literal["demo", "tuned", "frozen", "practice"] = "tuned"
    lesson: Comment | None = None
