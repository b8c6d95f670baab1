"""Items through a pool of processes and out again in their own order, few of them in flight at any time."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import connection
from pathlib import Path

from engine.errors import Problem
from engine.sweeping.items import Item

IN_FLIGHT = 8
"""Items in flight for each worker: enough that none waits for a slow one, few enough to hold in memory."""
_MOST_ON_WINDOWS = 61


@dataclass(frozen=True, slots=True)
class Settings:
    """What every worker must know: folders of further records, and what chains the rules."""

    rules: tuple[str, ...] = ()
    chainer: str = "auto"


def usable_cores() -> int:
    """How many processes can run at once here."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(cores, _MOST_ON_WINDOWS) if sys.platform == "win32" else cores


def perform(item: Item, settings: Settings) -> str:
    """The result for one item, as one line of JSON."""
    from engine.sweeping.working import fault_result, sweep_file, sweep_line

    if item.fault is not None:
        return fault_result([item.fault])
    if item.number is None:
        return sweep_file(Path(item.name), rules=settings.rules, chainer=settings.chainer)
    return sweep_line(item.text, name=item.name, number=item.number, rules=settings.rules, chainer=settings.chainer)


def in_order(
    work: Iterable[Item],
    settings: Settings,
    workers: int,
    known: Callable[[Item], str | None] = lambda item: None,
    weigh_one: Callable[[Item, Settings], str] = perform,
) -> Generator[tuple[Item, str, bool], None, None]:
    """Every item with its result, in the order of the items, and whether it was ``known`` before.

    With one worker all is done in this process. An item whose worker process ends, whatever ended it, gets a fault
    for its result, and the rest goes on.
    """
    if workers == 1:
        for item in work:
            found = known(item)
            yield item, found if found is not None else weigh_one(item, settings), found is not None
        return
    team = _Team(settings, workers, weigh_one)
    try:
        for item in work:
            found = known(item)
            team.add(item, found)
            while team.full():
                yield team.next()
        while team.waiting:
            yield team.next()
    finally:
        team.stop()


class _Team:
    """The pool, and what is in flight in it, oldest first."""

    def __init__(self, settings: Settings, workers: int, weigh_one: Callable[[Item, Settings], str]) -> None:
        self.settings, self.workers, self.weigh_one = settings, workers, weigh_one
        self.waiting: deque[tuple[Item, str | Future[str]]] = deque()
        self._pool: ProcessPoolExecutor | None = None

    def full(self) -> bool:
        return len(self.waiting) >= IN_FLIGHT * self.workers

    def add(self, item: Item, known: str | None) -> None:
        self.waiting.append((item, self._submit(item) if known is None else known))

    def next(self) -> tuple[Item, str, bool]:
        """The oldest item and its result."""
        item, outcome = self.waiting[0]
        if isinstance(outcome, str):
            self.waiting.popleft()
            return item, outcome, True
        try:
            found = outcome.result()
        except BrokenProcessPool:
            self._try_each_alone()
            return self.next()
        self.waiting.popleft()
        return item, found, False

    def stop(self) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def _submit(self, item: Item) -> Future[str]:
        try:
            if self._pool is not None:
                return self._pool.submit(self.weigh_one, item, self.settings)
            self._pool = _pool(self.workers)
            with _uninterrupted():
                return self._pool.submit(self.weigh_one, item, self.settings)
        except BrokenProcessPool as fault:
            broken: Future[str] = Future()
            broken.set_exception(fault)
            return broken

    def _try_each_alone(self) -> None:
        """After a worker process ended: what was in flight again, one by one, so that only the culprit is lost."""
        self.stop()
        self._pool = None
        tried: deque[tuple[Item, str | Future[str]]] = deque()
        alone: ProcessPoolExecutor | None = None
        for item, outcome in self.waiting:
            if isinstance(outcome, Future) and not (outcome.done() and outcome.exception() is None):
                alone = alone or _pool(1)
                try:
                    with _uninterrupted():
                        future = alone.submit(self.weigh_one, item, self.settings)
                    future.result()
                    outcome = future
                except BrokenProcessPool:
                    alone.shutdown()
                    alone, outcome = None, _lost(item)
            tried.append((item, outcome))
        if alone is not None:
            alone.shutdown()
        self.waiting = tried


def _lost(item: Item) -> Future[str]:
    from engine.sweeping.working import fault_result

    found = "a case over which the process that weighed it ended"
    advice = "was it short of memory? please report it with the case"
    future: Future[str] = Future()
    future.set_result(fault_result([Problem(item.name, item.number, "", found, "", advice)]))
    return future


def _pool(workers: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), initializer=_begin)


def _begin() -> None:
    """In a worker: leave interrupts to the parent, and end when it ends, whatever ended it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:

        def follow() -> None:
            connection.wait([parent.sentinel])
            os._exit(1)

        threading.Thread(target=follow, daemon=True).start()


@contextlib.contextmanager
def _uninterrupted() -> Iterator[None]:
    """While the first task starts the workers: they inherit that interrupts are ignored, from their first moment."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
