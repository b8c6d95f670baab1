"""A small sound rule base for the tests of loading, and a way to write one's own records over it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

SOUND = Path(__file__).parents[2] / "broken" / "rules" / "sound"
Write = Callable[..., Path]


@pytest.fixture(autouse=True)
def cache_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """No test touches the cache of the person who runs it."""
    monkeypatch.setattr("engine.rulebook.caching.user_cache_path", lambda *_, **__: tmp_path / "cache")
    return tmp_path / "cache" / "rulebooks"


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    """A copy of the small sound base, to change at will."""
    return Path(shutil.copytree(SOUND, tmp_path / "rulesets"))


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write files of records (name → text) into a folder of their own, and give the folder."""

    def written(folder: str, **files: str) -> Path:
        path = tmp_path / folder
        path.mkdir(exist_ok=True)
        for name, text in files.items():
            (path / f"{name}.yaml").write_text(text, encoding="utf-8")
        return path

    return written
