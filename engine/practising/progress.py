"""How a trainee's practice goes on: what was done, by topic, and how forecasts came out over all of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.practising.record import Record
from engine.scoring import Bin, MurphyParts, murphy_parts, reliability_table

EDGES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
"""Edges of the reliability table: five bins, for a trainee's forecasts are tens and not thousands."""


Stated = tuple[float, bool, bool]
"""A probability, whether it came true, and whether it was named at all (else it is 0, of a true cause)."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """How stated probabilities came out.

    ``mean_stated`` and ``share_true`` are of the causes named; score, parts and table count a true cause that was not
    named as having been given 0.
    """

    forecasts: int
    missed: int
    mean_stated: float
    share_true: float
    parts: MurphyParts
    table: tuple[Bin, ...]

    @property
    def over_sure(self) -> float:
        """By how much the mean stated exceeds the share that came true; negative where one is righter than sure."""
        return self.mean_stated - self.share_true


@dataclass(frozen=True, slots=True)
class TopicProgress:
    """The reviewed exercises of one topic: how many, how many right, and the mean Brier score."""

    topic: str
    exercises: int
    right: int
    brier: float


@dataclass(frozen=True, slots=True)
class Progress:
    """The whole of a trainee's practice."""

    begun: int
    concluded: int
    reviewed: int
    topics: tuple[TopicProgress, ...]
    forecasts: tuple[Stated, ...]

    @property
    def calibration(self) -> Calibration | None:
        """How the forecasts came out; None before the first."""
        return calibration(self.forecasts)


def calibration(forecasts: Sequence[Stated]) -> Calibration | None:
    """How forecasts came out; None where no cause was named."""
    named = [(p, came) for p, came, was_named in forecasts if was_named]
    if not named:
        return None
    stated, came_true = [p for p, _, _ in forecasts], [came for _, came, _ in forecasts]
    return Calibration(
        forecasts=len(forecasts),
        missed=len(forecasts) - len(named),
        mean_stated=sum(p for p, _ in named) / len(named),
        share_true=sum(came for _, came in named) / len(named),
        parts=murphy_parts(stated, came_true),
        table=reliability_table(stated, came_true, EDGES),
    )


def progress(record: Record) -> Progress:
    """The progress that a record shows."""
    exercises = record.exercises()
    reviews = {one.number: one.review for one in exercises if one.review is not None}
    by_topic: dict[str, list[int]] = {}
    for number, topics in record.topics().items():
        for topic in topics:
            by_topic.setdefault(topic, []).append(number)
    return Progress(
        begun=len(exercises),
        concluded=sum(one.concluded is not None for one in exercises),
        reviewed=len(reviews),
        topics=tuple(
            TopicProgress(
                topic=topic,
                exercises=len(numbers),
                right=sum(reviews[number]["verdict"] == "right" for number in numbers),
                brier=sum(reviews[number]["brier"] for number in numbers) / len(numbers),
            )
            for topic, numbers in sorted(by_topic.items())
        ),
        forecasts=tuple((one.probability, one.came_true, one.named) for one in record.forecasts()),
    )
