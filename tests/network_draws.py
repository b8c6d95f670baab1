"""Cases drawn from the rule base's own network: causes from their base rates, findings from the causes.

The likelihood of a finding is written out here once more, from the formulas and not from the program's tables.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from engine.inference.belief import Observation
from engine.inference.facts import Sureness


@dataclass(frozen=True)
class Draw:
    """One drawn case: the priors, the causes that are at work, and what is observed."""

    priors: dict[str, float]
    causes: frozenset[str]
    observations: tuple[Observation, ...]


def draw(rulebook, seed):
    """A case with 10 to 45 of the findings observed, some of them not surely."""
    dice = random.Random(seed)
    place = dice.choice(sorted(rulebook.reference_classes))
    priors = {cause.id: cause.base_rates[place] for cause in rulebook.causes.values()}
    causes = frozenset(cause for cause, rate in priors.items() if dice.random() < rate)
    seen = dice.sample(sorted(rulebook.findings), dice.randint(10, 45))
    observations = []
    for name in seen:
        finding = rulebook.findings[name]
        sureness = dice.choices(list(Sureness), weights=(1, 2, 7))[0]
        state = drawn_state(rulebook, finding, causes, dice)
        if sureness is not Sureness.CERTAIN and dice.random() < 1 / (1 + (10 if sureness == 2 else 3)):
            state = dice.choice([other for other in finding.states() if other != state])
        observations.append(Observation(name, state, sureness))
    return Draw(priors, causes, tuple(observations))


def drawn_state(rulebook, finding, causes, dice):
    level = dice.random()
    states = finding.states()
    reached = states[0]
    for state, grade in zip(states[1:], grades(finding), strict=True):
        if level < probability(rulebook, finding, grade, causes):
            reached = state
    return reached


def grades(finding):
    if finding.grades is None:
        return [(finding.background, finding.makes)]
    return [(finding.grades[name].background, finding.grades[name].makes) for name in ("slight", "strong")]


def probability(rulebook, finding, grade, causes):
    """P(grade reached or passed | causes) = [1 − (1 − b·Π(1 − u))·Π(1 − s)]·Π(1 − m)."""
    words = rulebook.scales["frequency"].words
    background, makes = words[grade[0]], {cause: words[word] for cause, word in grade[1].items()}
    occasions, unmade = background, 1.0
    for cause in causes & makes.keys():
        if makes[cause] > background:
            unmade *= 1 - (makes[cause] - background) / (1 - background)
        else:
            occasions *= makes[cause] / background
    shown = 1 - (1 - occasions) * unmade
    for mask in finding.masks:
        if mask.cause in causes:
            shown *= 1 - rulebook.scales["mask"].words[mask.strength]
    return shown
