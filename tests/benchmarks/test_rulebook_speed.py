"""How long the program's own rule base takes to load: read and checked anew, and taken from the cache.

Run with ``pytest tests/benchmarks --benchmark-only``; records and bytes are in the extra information.
"""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from engine.rulebook import Rulebook, load_rulebook
from engine.rulebook.loading import own_folder


@pytest.fixture(autouse=True)
def _cache_folder(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path_factory.getbasetemp() / "cache"
    monkeypatch.setattr("engine.rulebook.caching.user_cache_path", lambda *_, **__: folder)


def test_reading_and_checking_anew(benchmark: BenchmarkFixture) -> None:
    book: Rulebook = benchmark.pedantic(lambda: load_rulebook(cache=False), rounds=5, iterations=1)
    size = sum(file.stat().st_size for file in own_folder().rglob("*.yaml"))
    benchmark.extra_info.update(records=len(book.records), bytes=size)


def test_taking_from_the_cache(benchmark: BenchmarkFixture) -> None:
    load_rulebook()
    book: Rulebook = benchmark(load_rulebook)
    assert book.digest
