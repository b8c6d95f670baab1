"""The way in to made-up cases: one by its seed, of a wished level, with wished causes or of a wished topic."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from engine.case.models import Case
from engine.errors import nearest
from engine.rulebook import Rulebook
from engine.synthesis.keys import LEVELS
from engine.synthesis.making import STREAMS, CaseMaker, Made


def make_case(
    seed: int,
    rulebook: Rulebook,
    *,
    level: int | None = None,
    topic: str | None = None,
    causes: Sequence[str] | None = None,
) -> Case:
    """A made-up case with its key: the same seed, rule base and wishes give the same case to the byte.

    ``causes`` are exactly those at work (empty: none); ``topic`` wishes for one of its causes among them; ``level``,
    1 to 4, for how hard the truth is to tell once all evidence is known. Cases are drawn until one is of the level, or
    as near to it as was found. ValueError for a negative seed, an unknown level, topic or cause, for a topic that has
    no cause, and for causes and topic together.
    """
    return make_case_and_logs(seed, rulebook, None, level=level, topic=topic, causes=causes)[0]


def make_case_and_logs(
    seed: int,
    rulebook: Rulebook,
    log_folder: str | None,
    *,
    level: int | None = None,
    topic: str | None = None,
    causes: Sequence[str] | None = None,
) -> tuple[Case, Mapping[str, bytes]]:
    """As `make_case`, with loggers whose files the case names as lying in a folder; and what these files hold."""
    maker = maker_of(rulebook)
    _check_wishes(rulebook, seed, level, topic, causes)
    name = f"synthetic-{seed}"  # of the wishes nothing, for they would tell a trainee the answer
    exactly = None if causes is None else frozenset(causes)
    nearest_yet: dict[int, Made] = {}
    for attempt in range(int(rulebook.parameter("synthesis-cases-tried"))):
        wished = None if topic is None else _of_topic(rulebook, topic, (seed, attempt))
        made = maker.make((seed, attempt), name, causes=exactly, with_cause=wished, log_folder=log_folder)
        off = 0 if level is None else abs(maker.level(made) - level)
        nearest_yet.setdefault(off, made)
        if off == 0:
            break
    best = nearest_yet[min(nearest_yet)]
    return maker.finished(best), best.files


_MAKERS: dict[str, CaseMaker] = {}


def maker_of(rulebook: Rulebook) -> CaseMaker:
    """The maker of a rule base, kept for the next case by the same one."""
    if rulebook.digest not in _MAKERS:
        _MAKERS.clear()
        _MAKERS[rulebook.digest] = CaseMaker(rulebook)
    return _MAKERS[rulebook.digest]


def _check_wishes(
    rulebook: Rulebook, seed: int, level: int | None, topic: str | None, causes: Sequence[str] | None
) -> None:
    if seed < 0:
        raise ValueError(f"seed: found {seed}; allowed: 0 or more")
    if level is not None and level not in LEVELS:
        raise ValueError(f"level: found {level}; allowed: {', '.join(map(str, LEVELS))}")
    if topic is not None and causes is not None:
        raise ValueError("topic and causes: one of them can be wished for, not both")
    topics = sorted({cause.topic for cause in rulebook.causes.values()})
    if topic is not None and topic not in topics:
        raise ValueError(f"topic: found {topic!r}; allowed: {', '.join(topics)}")
    for cause in causes or ():
        if cause not in rulebook.causes:
            close = nearest(cause, rulebook.causes)
            hint = f"; did you mean {close!r}?" if close else f"; allowed: {', '.join(rulebook.causes)}"
            raise ValueError(f"causes: {cause!r} is no cause{hint}")


def _of_topic(rulebook: Rulebook, topic: str, seed: Sequence[int]) -> str:
    """A cause of the topic, each as likely as the others."""
    names = [cause.id for cause in rulebook.causes.values() if cause.topic == topic]
    return names[int(np.random.default_rng([*seed, len(STREAMS)]).integers(len(names)))]
