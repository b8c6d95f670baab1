"""A store of computed arrays that forgets the oldest beyond a bound."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

Stored = TypeVar("Stored")


class Bounded(Generic[Stored]):
    """Values by key, their summed ``cost`` at most ``capacity``; may be shared by threads.

    Two threads that want the same missing value both compute it; either result serves.
    """

    def __init__(self, capacity: int, cost: Callable[[Stored], int]) -> None:
        self._capacity, self._cost_of = capacity, cost
        self._held: dict[Hashable, tuple[Stored, int]] = {}
        self._cost = 0
        self._lock = Lock()

    def get(self, key: Hashable, compute: Callable[[], Stored]) -> Stored:
        """The value under the key, computed and kept when missing; one dearer than the capacity is not kept."""
        found = self._held.get(key)
        if found is not None:
            return found[0]
        value = compute()
        cost = self._cost_of(value)
        if cost <= self._capacity:
            with self._lock:
                if key not in self._held:
                    self._held[key] = (value, cost)
                    self._cost += cost
                while self._cost > self._capacity:
                    self._cost -= self._held.pop(next(iter(self._held)))[1]
        return value
