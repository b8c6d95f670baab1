"""How a trainee's practice goes on: what was done, by topic, and how forecasts came out over all of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.practising.record import Record
from engine.scoring import Bin, MurphyParts, murphy_parts, reliability_table

EDGES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
"""Edges of the reliability table: five bins, for a trainee's forecasts are tens and not thousands."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """How stated probabilities came out: their count, mean, the share come true, the score's parts, the table."""

    forecasts: int
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
    """The whole of a trainee's practice; ``calibration`` is None before the first forecast is scored."""

    begun: int
    concluded: int
    reviewed: int
    topics: tuple[TopicProgress, ...]
    calibration: Calibration | None


def calibration(forecasts: Sequence[tuple[float, bool]]) -> Calibration | None:
    """How (probability, came true) pairs came out; None where there are none."""
    if not forecasts:
        return None
    stated, came = [p for p, _ in forecasts], [true for _, true in forecasts]
    return Calibration(
        forecasts=len(forecasts),
        mean_stated=sum(stated) / len(stated),
        share_true=sum(came) / len(came),
        parts=murphy_parts(stated, came),
        table=reliability_table(stated, came, EDGES),
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
        calibration=calibration([(one.probability, one.came_true) for one in record.forecasts()]),
    )
