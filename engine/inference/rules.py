"""Rules as the chainer takes them, and the layers in which they run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from engine.inference.conditions import Condition, attributes, tests
from engine.inference.facts import Sureness

_Thing = TypeVar("_Thing")


@dataclass(frozen=True, slots=True)
class ChainConclusion:
    """One thing that a rule concludes.

    Two kinds mean something to the chainer: ``finding`` (``value`` is its state) and ``doubt`` (``value`` is
    the word of the sureness to which the finding ``target`` is lowered). Any other kind passes through.
    """

    kind: str
    target: str
    value: str = ""
    sureness: Sureness = Sureness.CERTAIN


@dataclass(frozen=True, slots=True)
class ChainRule:
    """A bound condition and what follows when it holds; in one layer the lower priority comes first."""

    id: str
    when: Condition
    conclusions: tuple[ChainConclusion, ...]
    priority: int = 0

    def concludes(self) -> frozenset[str]:
        """The findings that the rule may turn into facts."""
        return frozenset(conclusion.target for conclusion in self.conclusions if conclusion.kind == "finding")

    def order(self) -> tuple[int, int, str]:
        """The key of the agenda within a layer: priority, specificity (more tests first), id."""
        return (self.priority, -sum(1 for _ in tests(self.when)), self.id)


class Waiting(Generic[_Thing]):
    """Things that each wait for some attributes to be known, filed so that the ready ones are found quickly."""

    def __init__(self, things: Iterable[tuple[frozenset[str], _Thing]]) -> None:
        self._free: list[_Thing] = []
        self._by_name: dict[str, list[tuple[frozenset[str], _Thing]]] = {}
        for needed, thing in things:
            if needed:
                self._by_name.setdefault(min(needed), []).append((needed, thing))
            else:
                self._free.append(thing)

    def ready(self, known: Mapping[str, object]) -> Iterator[_Thing]:
        """The things of which everything is known that they wait for, in no stated order."""
        yield from self._free
        names = known.keys()
        for name in names & self._by_name.keys():
            for needed, thing in self._by_name[name]:
                if needed <= names:
                    yield thing


class CycleError(ValueError):
    """Rules that wait for each other: each of ``rules`` (ids) for the next, the last for the first."""

    def __init__(self, cycle: Sequence[ChainRule]) -> None:
        self.rules = tuple(rule.id for rule in cycle)
        steps = []
        for rule, awaited in zip(cycle, [*cycle[1:], *cycle[:1]], strict=True):
            findings = sorted(attributes(rule.when) & awaited.concludes())
            steps.append(f"{rule.id} tests {', '.join(findings)}, which {awaited.id} concludes")
        super().__init__(f"rules wait for each other in a cycle: {'; '.join(steps)}")


def layers(rules: Iterable[ChainRule]) -> tuple[tuple[ChainRule, ...], ...]:
    """The rules by layer, each as early as it can run: after every rule that concludes a finding it tests.

    Inside a layer they stand in the order of the agenda. Ids are unique. Raises CycleError.
    """
    waiting = {rule.id: rule for rule in rules}
    awaited = _awaited(waiting)
    result = []
    while waiting:
        ready = [rule for rule in waiting.values() if waiting.keys().isdisjoint(awaited[rule.id])]
        if not ready:
            raise CycleError(_cycle(waiting, awaited))
        for rule in ready:
            del waiting[rule.id]
        result.append(tuple(sorted(ready, key=ChainRule.order)))
    return tuple(result)


def find_cycle(rules: Iterable[ChainRule]) -> tuple[str, ...]:
    """The ids of rules that wait for each other, each for the next, the last for the first; empty without a cycle."""
    try:
        layers(rules)
    except CycleError as cycle:
        return cycle.rules
    return ()


def _awaited(rules: Mapping[str, ChainRule]) -> dict[str, tuple[str, ...]]:
    """For each rule, by id, the ids of the rules that conclude a finding it tests, sorted."""
    concluding: dict[str, set[str]] = {}
    for rule in rules.values():
        for finding in rule.concludes():
            concluding.setdefault(finding, set()).add(rule.id)
    return {
        rule.id: tuple(sorted({other for name in attributes(rule.when) for other in concluding.get(name, ())}))
        for rule in rules.values()
    }


def _cycle(stuck: Mapping[str, ChainRule], awaited: Mapping[str, Sequence[str]]) -> list[ChainRule]:
    """A cycle among rules each of which waits for another of them, from its first rule by id."""
    path = [min(stuck)]
    while path[-1] not in path[:-1]:
        path.append(next(other for other in awaited[path[-1]] if other in stuck))
    ring = path[path.index(path[-1]) : -1]
    first = ring.index(min(ring))
    return [stuck[name] for name in ring[first:] + ring[:first]]
