"""Random belief networks and a plain second reckoning of them, for the tests of belief wherever they stand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from engine.inference.belief import EchoModel, FindingModel, Observation
from engine.inference.facts import Sureness

WORDS = (0.95, 0.9, 0.8, 0.65, 0.5, 0.35, 0.2, 0.12, 0.05, 0.02)
MASKS = (0.9, 0.75, 0.5, 0.3)


@dataclass(frozen=True)
class Drawn:
    """The parts of a random network, and priors for its causes."""

    causes: tuple[str, ...]
    findings: tuple[FindingModel, ...]
    echoes: tuple[EchoModel, ...]
    priors: dict[str, float]


def draw_network(
    rng: np.random.Generator,
    causes: int = 6,
    findings: int = 12,
    *,
    parents: int = 4,
    suppressed: float = 0.2,
    masked: float = 0.3,
    graded: float = 0.3,
    grouped: float = 0.5,
    prior: tuple[float, float] = (0.01, 0.3),
) -> Drawn:
    """A network with strengths from the word scale; shares say how often a link suppresses, a finding is masked …"""
    names = tuple(f"cause-{i}" for i in range(causes))
    models = [_draw_finding(rng, f"finding-{i}", names, parents, suppressed, masked, graded) for i in range(findings)]
    free = [model.id for model in models]
    rng.shuffle(free)
    echoes = []
    while len(free) > (1 - grouped) * findings + 1:
        count = int(rng.integers(2, min(4, len(free)) + 1))
        members, free = free[:count], free[count:]
        echoes.append(EchoModel(f"echo-{len(echoes)}", tuple(members), float(rng.choice([0.0, 0.3, 0.5, 0.8, 1.0]))))
    return Drawn(names, tuple(models), tuple(echoes), {name: float(rng.uniform(*prior)) for name in names})


def _draw_finding(
    rng: np.random.Generator,
    name: str,
    causes: Sequence[str],
    parents: int,
    suppressed: float,
    masked: float,
    graded: float,
) -> FindingModel:
    chosen = rng.choice(causes, int(rng.integers(1, min(parents, len(causes)) + 1)), replace=False).tolist()
    background = float(rng.choice(WORDS[5:]))
    alone = {
        cause: background * float(rng.choice(WORDS[1:]))
        if rng.random() < suppressed
        else float(rng.choice([word for word in WORDS if word > background]))
        for cause in chosen
    }
    hidden = rng.choice(causes, int(rng.integers(1, 3)), replace=False).tolist() if rng.random() < masked else []
    masks = {cause: float(rng.choice(MASKS)) for cause in hidden}
    if rng.random() >= graded:
        return FindingModel(name, ("absent", "present"), ((background, alone),), masks)
    share = float(rng.uniform(0.3, 0.8))
    lower = background * share
    strong = {
        cause: lower + (p - background) / (1 - background) * share * (1 - lower)
        if p > background
        else lower * p / background
        for cause, p in alone.items()
    }
    return FindingModel(name, ("none", "slight", "strong"), ((background, alone), (lower, strong)), masks)


def draw_observations(
    rng: np.random.Generator, drawn: Drawn, count: int, *, wrong: float = 0.1, on: Iterable[str] | None = None
) -> list[Observation]:
    """Reports of random findings under causes drawn from the priors, or those given; some reports at random."""
    at_work = {c for c in drawn.causes if rng.random() < drawn.priors[c]} if on is None else set(on)
    observations = []
    for i in rng.choice(len(drawn.findings), min(count, len(drawn.findings)), replace=False):
        model = drawn.findings[i]
        mask = float(rng.choice([0.0, 0.0, 0.0, 0.5]))
        chances = np.array(state_probabilities(model, at_work, mask))
        state = rng.choice(len(chances), p=chances / chances.sum())
        if rng.random() < wrong:
            state = rng.integers(len(chances))
        sureness = Sureness(int(rng.choice([3, 3, 3, 2, 2, 1])))
        observations.append(Observation(model.id, model.states[int(state)], sureness, mask))
    return observations


def state_probabilities(model: FindingModel, causes: Iterable[str], mask: float = 0.0) -> list[float]:
    """P(state | exactly these causes), written down from the formula and nothing else."""
    at_work = set(causes)
    reached = [1.0]
    for background, alone in model.cumulative:
        occasion, unmade = background, 1.0
        for cause in at_work & set(alone):
            if alone[cause] > background:
                unmade *= 1 - (alone[cause] - background) / (1 - background)
            else:
                occasion *= 1 - (1 - alone[cause] / background)
        probability = 1 - (1 - occasion) * unmade
        for cause in at_work & set(model.cause_masks):
            probability *= 1 - model.cause_masks[cause]
        reached.append(probability * (1 - mask))
    return [high - low for high, low in zip(reached, [*reached[1:], 0.0], strict=True)]


def tempered(probabilities: Sequence[float], exponent: float) -> list[float]:
    """Powers of probabilities, renormalised."""
    powers = [p**exponent for p in probabilities]
    return [power / sum(powers) for power in powers]


def echo_exponent(echoes: Iterable[EchoModel], seen: Iterable[str], finding: str) -> float:
    """The exponent of a finding among those seen: what it adds to Kish's effective number."""
    names = set(seen)
    for echo in echoes:
        if finding in echo.members:
            i = [member for member in echo.members if member in names].index(finding) + 1
            before = (i - 1) / (1 + (i - 2) * echo.correlation) if i > 1 else 0.0
            return i / (1 + (i - 1) * echo.correlation) - before
    return 1.0


class Reckoning:
    """Every set of causes and its probability, one by one."""

    def __init__(self, drawn: Drawn, observations: Sequence[Observation], priors: Mapping[str, float] | None = None):
        self.drawn, self.priors = drawn, dict(priors or drawn.priors)
        self.models = {model.id: model for model in drawn.findings}
        self.seen = [observation.finding for observation in observations]
        weights = {}
        for chosen in self.all_sets():
            weight = math.prod(p if c in chosen else 1 - p for c, p in self.priors.items())
            for observation in observations:
                states = self.states_under(observation.finding, chosen, self.seen, observation.mask)
                own = self.models[observation.finding].states.index(observation.state)
                ratio = {3: math.inf, 2: 10.0, 1: 3.0}[int(observation.sureness)]
                weight *= states[own] + (1 - states[own]) / ratio
            weights[chosen] = weight
        total = sum(weights.values())
        self.sets = {chosen: weight / total for chosen, weight in weights.items()}

    def all_sets(self) -> Iterator[frozenset[str]]:
        for flags in product((False, True), repeat=len(self.drawn.causes)):
            yield frozenset(cause for cause, flag in zip(self.drawn.causes, flags, strict=True) if flag)

    def states_under(self, finding: str, chosen: Iterable[str], seen: Iterable[str], mask: float = 0.0) -> list[float]:
        share = echo_exponent(self.drawn.echoes, seen, finding)
        return tempered(state_probabilities(self.models[finding], chosen, mask), share)

    def any_of(self, causes: Iterable[str]) -> float:
        return sum(weight for chosen, weight in self.sets.items() if chosen & set(causes))

    def entropy(self) -> float:
        return -sum(weight * math.log2(weight) for weight in self.sets.values() if weight > 0)

    def information_of(self, findings: Sequence[str]) -> float:
        """Entropy now less the entropy expected after all these findings, by Bayes' rule answer by answer."""
        seen = [*self.seen, *findings]
        after = 0.0
        for states in product(*(range(len(self.models[finding].states)) for finding in findings)):
            joint = {
                chosen: weight
                * math.prod(
                    self.states_under(finding, chosen, seen)[state]
                    for finding, state in zip(findings, states, strict=True)
                )
                for chosen, weight in self.sets.items()
            }
            total = sum(joint.values())
            after -= sum(weight * math.log2(weight / total) for weight in joint.values() if weight > 0)
        return self.entropy() - after


HARDNESS = ("ordinary", "many causes at once", "high priors", "masked throughout", "few strong signs")


def draw_hard_case(rng: np.random.Generator, hardness: str, causes: int = 20) -> tuple[Drawn, list[Observation]]:
    """A large network and observations on which growth may stop too early."""
    findings = int(rng.integers(60, 130))
    match hardness:
        case "ordinary":
            drawn = draw_network(rng, causes, findings, parents=8, masked=0.1, graded=0.1, prior=(0.01, 0.12))
            return drawn, draw_observations(rng, drawn, int(rng.integers(30, 61)), wrong=0.02)
        case "many causes at once":
            drawn = draw_network(rng, causes, findings, parents=5, prior=(0.01, 0.1))
            at_work = rng.choice(drawn.causes, int(rng.integers(4, 9)), replace=False).tolist()
            return drawn, draw_observations(rng, drawn, findings, wrong=0.02, on=at_work)
        case "high priors":
            drawn = draw_network(rng, causes, findings, parents=6, prior=(0.05, 0.5))
            return drawn, draw_observations(rng, drawn, int(rng.integers(20, findings)), wrong=0.1)
        case "masked throughout":
            drawn = draw_network(rng, causes, findings, parents=12, masked=1.0, suppressed=0.3, prior=(0.005, 0.3))
            return drawn, draw_observations(rng, drawn, int(rng.integers(20, findings)), wrong=0.3)
        case "few strong signs":
            drawn = draw_network(rng, causes, findings, parents=2, suppressed=0.0, prior=(0.001, 0.02))
            at_work = rng.choice(drawn.causes, int(rng.integers(3, 8)), replace=False).tolist()
            return drawn, draw_observations(rng, drawn, int(rng.integers(40, findings)), wrong=0.0, on=at_work)
    raise ValueError(hardness)
