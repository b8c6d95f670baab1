"""Whether an opinion stands when the judged numbers, or the readings, are a little other than they are.

Strengths, backgrounds, base rates and leanings are judgement: they are moved on the log-odds scale by a stated spread,
together many times, and each alone (the numbers of a tornado diagram). Readings are moved by their own noise and go
through admission, measures and rules again. Seeded: the same seed gives the same numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine.explaining.jitter import Assumption, Floats, Jitter, Reweighed
from engine.explaining.reading_noise import ReadingNoise
from engine.explaining.subject import Subject
from engine.opinion.weighing import gather

Booleans = NDArray[np.bool_]
NINE_IN_TEN = 1.645
"""Standard deviations of a normal distribution either side of the middle that hold nine tenths of it."""
SWINGS_MASS = 0.99
"""Share of the belief whose sets are re-weighed for single assumptions, of which there are hundreds."""
SWINGS = 10
"""How many of the weightiest single assumptions are kept."""


@dataclass(frozen=True, slots=True)
class Range:
    """A cause under the shaking: its probability, between what it lies in nine of ten, and how often it is likely."""

    cause: str
    title: str
    probability: float
    low: float
    high: float
    likely_share: float


@dataclass(frozen=True, slots=True)
class Swing:
    """One assumption moved alone, by 1.645 spreads down and up: where that takes the cause that it moves most.

    ``kind`` is base-rate, leaning, background or strength; ``record`` states it (a cause, rule or finding);
    ``about`` is the cause that a leaning or strength concerns. ``overturns`` when the lead changes at either end.
    """

    kind: str
    record: str
    title: str
    about: str
    cause: str
    low: float
    high: float
    decibans: float
    overturns: bool


@dataclass(frozen=True, slots=True)
class ReadingSteadiness:
    """The opinion with the readings moved by their own noise; ``readings`` is how many were moved in each draw."""

    draws: int
    readings: int
    lead_stays: float
    joined: float


@dataclass(frozen=True, slots=True)
class Steadiness:
    """The share of re-weighings in which the lead stays, and the single assumptions that move it most.

    The lead stays when every leading cause still leads; ``joined`` is the share in which it stays and another cause
    leads beside it. Where nothing leads, it stays when still nothing does. ``held`` is the share of the belief whose
    sets of causes were re-weighed; ``readings`` is None without readings.
    """

    seed: int
    draws: int
    lead: tuple[str, ...]
    lead_stays: float
    joined: float
    held: float
    ranges: tuple[Range, ...]
    swings: tuple[Swing, ...]
    readings: ReadingSteadiness | None


def steadiness(subject: Subject, *, seed: int = 0, shake_readings: bool = True) -> Steadiness:
    """Shake the judged numbers behind an area's opinion, and its readings; parameters say how often and how far."""
    book = subject.reasoner.rulebook
    jitter = Jitter(subject.reasoner, subject.judged.belief, book.parameter("steadiness-mass"))
    draws = int(book.parameter("steadiness-draws"))
    spreads = np.array([assumption.spread for assumption in jitter.assumptions])
    dice = np.random.default_rng(seed)
    centre = jitter.reweigh(np.zeros((1, len(spreads))))
    shaken = jitter.reweigh(dice.normal(size=(draws, len(spreads))) * spreads)
    level = book.parameter("determined-at-least")
    lead = _leading(centre, level)[0]
    leading = _leading(shaken, level)
    same = (leading == lead).all(axis=1)
    stays = same | (leading >= lead).all(axis=1) if lead.any() else same
    return Steadiness(
        seed=seed,
        draws=draws,
        lead=subject.judged.determination.leading,
        lead_stays=float(stays.mean()),
        joined=float((stays & ~same).mean()),
        held=jitter.held,
        ranges=_ranges(subject, jitter, centre, shaken, level),
        swings=_swings(subject, Jitter(subject.reasoner, subject.judged.belief, SWINGS_MASS), spreads, level),
        readings=_reading_steadiness(subject, seed) if shake_readings else None,
    )


def _leading(weighed: Reweighed, level: float) -> Booleans:
    """Per draw, which causes lead: those that reach the level, else the most probable set."""
    likely = weighed.marginals >= level
    return np.asarray(np.where(likely.any(axis=1, keepdims=True), likely, weighed.best > 0))


def _ranges(subject: Subject, jitter: Jitter, centre: Reweighed, shaken: Reweighed, level: float) -> tuple[Range, ...]:
    open_at_least = subject.reasoner.rulebook.parameter("open-at-least")
    low, high = np.quantile(shaken.marginals, [0.05, 0.95], axis=0)
    likely = (shaken.marginals >= level).mean(axis=0)
    return tuple(
        Range(cause.id, cause.title, cause.probability, float(low[i]), float(high[i]), float(likely[i]))
        for cause in subject.opinion.causes
        if cause.id in jitter.causes and (cause.probability >= open_at_least or cause.id in subject.foremost)
        for i in [jitter.causes.index(cause.id)]
    )


def _swings(subject: Subject, jitter: Jitter, spreads: Floats, level: float) -> tuple[Swing, ...]:
    """Each assumption alone, down and up; the weightiest for the foremost causes, weightiest first."""
    targets = [jitter.causes.index(cause) for cause in subject.foremost if cause in jitter.causes]
    if not targets or not len(spreads):
        return ()
    lead = _leading(jitter.reweigh(np.zeros((1, len(spreads)))), level)[0]
    steps = np.diag(NINE_IN_TEN * spreads)
    ends = jitter.reweigh(np.concatenate([-steps, steps]))
    ended = _leading(ends, level)
    lost = np.where(lead.any(), ended < lead, ended != lead)
    overturned = np.asarray(lost.reshape(2, len(spreads), -1).any(axis=(0, 2)))
    odds = _decibans(ends.marginals[:, targets]).reshape(2, len(spreads), len(targets))
    most = np.abs(odds[1] - odds[0])
    order = np.lexsort((np.arange(len(spreads)), -most.max(axis=1)))[:SWINGS]
    found = []
    for place in order.tolist():
        which = int(most[place].argmax())
        both = ends.marginals[[place, place + len(spreads)], targets[which]]
        found.append(
            _swing(
                subject,
                jitter.assumptions[place],
                jitter.causes[targets[which]],
                (float(both.min()), float(both.max())),
                float(most[place, which]),
                bool(overturned[place]),
            )
        )
    return tuple(found)


def _swing(
    subject: Subject, moved: Assumption, cause: str, ends: tuple[float, float], decibans: float, overturns: bool
) -> Swing:
    title = subject.reasoner.rulebook.title(moved.record)
    about = "" if moved.kind in ("base-rate", "background") else moved.cause
    return Swing(moved.kind, moved.record, title, about, cause, ends[0], ends[1], decibans, overturns)


def _decibans(shares: Floats) -> Floats:
    bounded = np.clip(shares, 1e-12, 1 - 1e-12)
    return np.asarray(10 / math.log(10) * (np.log(bounded) - np.log1p(-bounded)))


def _reading_steadiness(subject: Subject, seed: int) -> ReadingSteadiness | None:
    book = subject.reasoner.rulebook
    voided = frozenset((void.visit, void.instrument) for void in subject.known.voided)
    noise = ReadingNoise(subject.case, subject.area, book.numbers, voided)
    if noise.count == 0:
        return None
    draws = int(book.parameter("steadiness-reading-draws"))
    dice = np.random.default_rng([seed, 1])
    lead, level = set(subject.judged.determination.leading), book.parameter("determined-at-least")
    stays = joined = 0
    for _ in range(draws):
        case, area = noise.moved(dice)
        known = gather(subject.reasoner, case, area, subject.folder)
        posterior = subject.reasoner.believe(subject.reasoner.find(known.facts)).posterior
        likely = {cause for cause, probability in posterior.marginals.items() if probability >= level}
        leading = likely or set(posterior.sets(1)[0][0])
        stays += leading == lead or (bool(lead) and leading >= lead)
        joined += bool(lead) and leading > lead
    return ReadingSteadiness(draws, noise.count, stays / draws, joined / draws)
