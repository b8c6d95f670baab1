"""The cheapest test that would part what is held from its best rival."""

from __future__ import annotations

from engine.challenging.contrasting import parting_bits, state_chances
from engine.challenging.models import PartingTest, Result
from engine.challenging.weighed import Weighed
from engine.rulebook.models import Step

LEAST_BITS = 0.02
"""A test that would tell less than this between two sets held equally likely does not part them [bits]."""
RESULTS = 3
"""How many of the things that a test looks for are named."""


def parting_test(weighed: Weighed, own: tuple[str, ...], rival: tuple[str, ...]) -> PartingTest | None:
    """Of the tests that tell at least half as much as the most telling one, that of least effort.

    Of equal effort the most telling. Tests whose record says that they tell the two apart come before all others; None
    where no test left would part the two.
    """
    rulebook = weighed.reasoner.rulebook
    told = {
        step.id: parting_bits(weighed.reasoner.network, _open(weighed, step), own, rival, weighed.evidence.masks)
        for step in rulebook.steps.values()
        if step.kind == "test" and _open(weighed, step)
    }
    told = {name: bits for name, bits in told.items() if bits >= LEAST_BITS}
    meant = {name: bits for name, bits in told.items() if _parts(rulebook.steps[name], own, rival)}
    told = meant or told
    if not told:
        return None
    telling = [rulebook.steps[name] for name in told if told[name] >= max(told.values()) / 2]
    step = min(telling, key=lambda s: (rulebook.parameter(f"effort-{s.effort}"), -told[s.id], s.id))
    results = _results(weighed, step, own, rival)
    return PartingTest(step.id, step.title, told[step.id], step.effort, step.cost, step.who, results)


def tests_known_to_part(weighed: Weighed, own: tuple[str, ...], rival: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """The tests and watches whose records say that they tell the two apart: (step, title) pairs in id order."""
    return tuple(
        (step.id, step.title)
        for step in weighed.reasoner.rulebook.steps.values()
        if step.kind != "action" and _parts(step, own, rival)
    )


def _parts(step: Step, own: tuple[str, ...], rival: tuple[str, ...]) -> bool:
    """Whether a step tells a cause of the one set alone from one of the other; from nothing, where that has none."""
    one, other = set(own) - set(rival), set(rival) - set(own)
    return all(set(step.parts) & causes for causes in (one, other) if causes)


def _open(weighed: Weighed, step: Step) -> list[str]:
    return [finding for finding in step.settles if finding not in weighed.posterior.observed]


def _results(weighed: Weighed, step: Step, own: tuple[str, ...], rival: tuple[str, ...]) -> tuple[Result, ...]:
    """What the test looks for that parts the two, most telling first."""
    network, masks = weighed.reasoner.network, weighed.evidence.masks
    bits = {name: parting_bits(network, [name], own, rival, masks) for name in _open(weighed, step)}
    found = []
    for name in sorted((name for name in bits if bits[name] > 0), key=lambda n: (-bits[n], n))[:RESULTS]:
        seen = [_seen(state_chances(network, name, causes, masks.get(name, 0.0))) for causes in (own, rival)]
        title = weighed.reasoner.rulebook.findings[name].title
        found.append(Result(name, title, weighed.words(seen[0]), weighed.words(seen[1])))
    return tuple(found)


def _seen(chances: dict[str, float]) -> float:
    """The probability of anything but the weakest state."""
    return 1 - next(iter(chances.values()))
