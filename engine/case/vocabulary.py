"""What a case may speak of: the attributes, causes, steps and cautions that some rule base knows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

UNSETTLED = ("unknown", "not-applicable", "not-inspected")
"""The answers that every attribute takes, whatever its kind; none of them ever means *no*."""


class Attribute(Protocol):
    """A thing that can be known: its scope, its kind (yes-no, choice or number) and the values allowed."""

    @property
    def title(self) -> str:
        """How it reads."""

    @property
    def scope(self) -> str:
        """The widest place at which it may be given: dwelling, visit, area, surface or instrument."""

    @property
    def kind(self) -> str:
        """One of yes-no, choice, number."""

    @property
    def unit(self) -> str | None:
        """The unit of a number."""

    @property
    def minimum(self) -> float | None:
        """The least number allowed."""

    @property
    def maximum(self) -> float | None:
        """The greatest number allowed."""

    def words(self) -> tuple[str, ...]:
        """The words allowed; empty for a number."""


class Vocabulary(Protocol):
    """The ids that a case is read against; a rule base is one."""

    @property
    def questions(self) -> Mapping[str, Attribute]:
        """The attributes that a person answers: these may be facts of a case."""

    @property
    def measures(self) -> Mapping[str, Attribute]:
        """The attributes that are computed from readings, climate, samples and timber."""

    @property
    def findings(self) -> Mapping[str, object]:
        """The signs that rules conclude from facts."""

    @property
    def causes(self) -> Mapping[str, object]:
        """The causes by id."""

    @property
    def steps(self) -> Mapping[str, object]:
        """The steps by id."""

    @property
    def cautions(self) -> Mapping[str, object]:
        """The cautions by id."""
