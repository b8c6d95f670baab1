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
        value = self.find(key)
        if value is None:
            value = compute()
            self.keep(key, value)
        return value

    def find(self, key: Hashable) -> Stored | None:
        """The value under the key; None when missing."""
        found = self._held.get(key)
        return None if found is None else found[0]

    def keep(self, key: Hashable, value: Stored) -> None:
        """Keep a value under a key, unless it is dearer than the capacity."""
        cost = self._cost_of(value)
        if cost <= self._capacity:
            with self._lock:
                if key not in self._held:
                    self._held[key] = (value, cost)
                    self._cost += cost
                while self._cost > self._capacity:
                    self._cost -= self._held.pop(next(iter(self._held)))[1]
