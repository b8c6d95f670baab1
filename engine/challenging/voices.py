"""What speaks for and against each held cause: findings, leanings, and rules that rule it out."""

from __future__ import annotations

import math

from engine.challenging.models import Voice
from engine.challenging.weighed import Weighed
from engine.opinion.words import decibans, odds

LEAST_DECIBANS = 0.5
"""A weight under this [dB] is no voice."""


def voices(weighed: Weighed, held: tuple[str, ...]) -> tuple[tuple[Voice, ...], tuple[Voice, ...]]:
    """What speaks for, and what against; weightiest first. Where nothing is held: for and against a dry place."""
    found = [voice for cause in held for voice in _of_cause(weighed, cause)] if held else _of_dryness(weighed)
    found.sort(key=lambda voice: (-abs(voice.decibans), voice.kind, voice.id, voice.cause))
    supports = tuple(voice for voice in found if voice.decibans >= LEAST_DECIBANS)
    against = tuple(voice for voice in found if voice.decibans <= -LEAST_DECIBANS)
    return supports, against


def _of_cause(weighed: Weighed, name: str) -> list[Voice]:
    cause = weighed.cause(name)
    found = [
        Voice("finding", reason.finding, reason.title, reason.state, reason.sureness, name, reason.decibans)
        for reason in cause.reasons
    ]
    found += [
        Voice("leaning", leaning.rule, leaning.title, "", "", name, leaning.decibans, leaning.because)
        for leaning in cause.leanings
    ]
    for exclusion in cause.exclusions:
        title = weighed.reasoner.rulebook.title(exclusion.rule)
        because = f"{exclusion.because} Overturned by: {exclusion.overturned_by}"
        weight = -math.inf if exclusion.hard else -weighed.number("exclusion-decibans")
        found.append(Voice("exclusion", exclusion.rule, title, "", "", name, weight, because))
    return found


def _of_dryness(weighed: Weighed) -> list[Voice]:
    wetting = weighed.wetting()
    together = decibans(odds(weighed.posterior.any_of(wetting)))
    found = []
    for seen in weighed.evidence.observations:
        without = decibans(odds(weighed.posterior.without([seen.finding]).any_of(wetting)))
        title = weighed.reasoner.rulebook.findings[seen.finding].title
        found.append(Voice("finding", seen.finding, title, seen.state, seen.sureness.word, "", without - together))
    return found
