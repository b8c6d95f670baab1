"""What is held beside its rivals: the sets of causes that leave out something held and explain the same evidence."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from engine.challenging.contrasting import log_odds, weights_between
from engine.challenging.models import Misfit, Rival, Standing, Weighing
from engine.challenging.weighed import Weighed
from engine.inference.facts import Sureness
from engine.opinion.reasoner import Belief
from engine.opinion.words import from_odds
from engine.rulebook import Rulebook

LIKELY_SETS = 60
"""How many of the most probable sets of causes are looked through for rivals."""
MOST_RIVALS = 3
"""How many rivals are named; a set that only adds to a rival already named is no further one."""
SPEAKS_DECIBANS = 3.0
"""Weight from which a finding is named as parting two sets [dB]: twice as probable with one as with the other."""


def holds(held: Collection[str], causes: Collection[str], wetting: Collection[str]) -> bool:
    """Whether a set of causes contains all that is held; where nothing is held, whether nothing in it wets."""
    return set(held) <= set(causes) if held else not set(causes) & set(wetting)


def explanation(belief: Belief, held: tuple[str, ...], wetting: Collection[str]) -> tuple[str, ...]:
    """The set that stands for what is held beside its rivals.

    The most probable set where it contains all that is held, so that company which the evidence asks for is not
    counted against it; else exactly what is held.
    """
    best = belief.posterior.sets(1)[0][0]
    return best if holds(held, best, wetting) else held


def rivals(
    rulebook: Rulebook, belief: Belief, held: tuple[str, ...], wetting: Collection[str], states: Mapping[str, str]
) -> tuple[Rival, ...]:
    """The most probable sets that leave out something held: those that explain as well or better, or else the nearest.

    ``states`` {finding: observed state}. Odds compare the two sets after everything: base rates, leanings, findings.
    """
    own = explanation(belief, held, wetting)
    named: list[Rival] = []
    for causes, _ in belief.posterior.sets(LIKELY_SETS):
        if holds(held, causes, wetting) or any(set(causes) >= set(rival.causes) for rival in named):
            continue
        odds = 10 ** (log_odds(belief.posterior, belief.priors, causes, own) / 10)
        standing = _standing(odds, rulebook)
        if standing == "less-well" and named:
            continue
        weights = weights_between(belief.posterior, causes, own)
        named.append(
            Rival(
                causes=causes,
                titles=tuple(rulebook.title(cause) for cause in causes),
                odds=odds,
                standing=standing,
                explains_better=weighings(rulebook, weights, states),
                explains_worse=weighings(rulebook, {name: -weight for name, weight in weights.items()}, states),
            )
        )
        if len(named) == MOST_RIVALS:
            break
    return tuple(named)


def _standing(odds: float, rulebook: Rulebook) -> Standing:
    share = from_odds(odds)
    if share >= rulebook.parameter("likely"):
        return "better"
    return "as-well" if share > rulebook.parameter("unlikely") else "less-well"


def weighings(rulebook: Rulebook, weights: Mapping[str, float], states: Mapping[str, str]) -> tuple[Weighing, ...]:
    """The findings that weigh enough to be named, weightiest first, each with the tests that look for it."""
    heavy = sorted((name for name in weights if weights[name] >= SPEAKS_DECIBANS), key=lambda n: (-weights[n], n))
    return tuple(
        Weighing(name, rulebook.findings[name].title, states[name], weights[name], tests_for(rulebook, (name,)))
        for name in heavy
    )


def tests_for(rulebook: Rulebook, findings: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """The tests and watches that look for any of these findings: (step, title) pairs in id order."""
    wanted = set(findings)
    return tuple(
        (step.id, step.title)
        for step in rulebook.steps.values()
        if step.kind != "action" and wanted & set(step.settles)
    )


def breaking(weighed: Weighed, held: tuple[str, ...], states: Mapping[str, str]) -> tuple[Weighing, ...]:
    """The findings that the best joint explanation accounts for and exactly what is held does not.

    After them those that speak most against a held cause.
    """
    weights = weights_between(weighed.posterior, weighed.best, held)
    rulebook = weighed.reasoner.rulebook
    against: dict[str, float] = {}
    for cause in held:
        for reason in weighed.cause(cause).reasons:
            against[reason.finding] = max(against.get(reason.finding, 0.0), -reason.decibans)
    parting = weighings(rulebook, weights, states)
    named = {weighing.finding for weighing in parting}
    others = {name: weight for name, weight in against.items() if name not in named}
    return (*parting, *weighings(rulebook, others, states))


def misfits(weighed: Weighed, held: tuple[str, ...]) -> tuple[Misfit, ...]:
    """The certain findings that are improbable were exactly the held causes at work, least probable first."""
    below = weighed.number("unexplained-below")
    found = []
    for seen in weighed.evidence.observations:
        if seen.sureness is not Sureness.CERTAIN:
            continue
        probability = weighed.posterior.probability_under(seen.finding, held)
        if probability < below:
            title = weighed.reasoner.rulebook.findings[seen.finding].title
            under_best = weighed.posterior.probability_under(seen.finding, weighed.best)
            found.append(Misfit(seen.finding, title, seen.state, probability, under_best))
    return tuple(sorted(found, key=lambda item: (item.probability, item.finding)))
