"""Kept bases: the same as read anew, never stale, never trusted when damaged, never in the way."""

from __future__ import annotations

import dataclasses
import multiprocessing
from pathlib import Path

import pytest

from engine.errors import InvalidInput
from engine.rulebook import Rulebook, caching, load_rulebook, loading
from engine.rulebook.compiling import compile_rules


@pytest.fixture
def readings(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """One entry for each time that records are read from their files."""
    counted: list[int] = []
    read = loading.read_records

    def counting(*arguments):
        counted.append(1)
        return read(*arguments)

    monkeypatch.setattr(loading, "read_records", counting)
    return counted


def kept(folder: Path) -> list[Path]:
    return sorted(folder.glob("*"))


def test_a_kept_base_equals_one_read_anew(sound: Path, readings: list[int]) -> None:
    first, second = load_rulebook(folder=sound), load_rulebook(folder=sound)
    assert len(readings) == 1
    assert second == first == load_rulebook(folder=sound, cache=False)
    assert list(second.reference_classes) == list(first.reference_classes)
    assert second.rules["foot-and-stain"].when == first.rules["foot-and-stain"].when


def test_a_kept_base_chains_the_same_rules(readings: list[int]) -> None:
    anew, recalled = load_rulebook(), load_rulebook()
    assert len(readings) == 1
    assert list(recalled.chain_rules) == list(anew.chain_rules)
    for stratum, rules in recalled.chain_rules.items():
        assert rules == compile_rules(anew, stratum) == compile_rules(recalled, stratum) != ()


def test_a_base_made_from_a_kept_one_compiles_rules_of_its_own(sound: Path) -> None:
    load_rulebook(folder=sound)
    recalled = load_rulebook(folder=sound)
    retired = {name: rule.model_copy(update={"status": "retired"}) for name, rule in recalled.rules.items()}
    changed = dataclasses.replace(recalled, rules=retired)
    assert recalled.chain_rules["patterns"]
    assert not changed.chain_rules["patterns"]


def test_without_cache_nothing_is_kept(sound: Path, cache_folder: Path) -> None:
    load_rulebook(folder=sound, cache=False)
    assert not cache_folder.exists()


def test_a_changed_file_or_program_or_layer_is_read_anew(
    sound: Path, tmp_path: Path, readings: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    load_rulebook(folder=sound)
    with (sound / "topics.yaml").open("a", encoding="utf-8") as file:
        file.write("# a comment\n")
    load_rulebook(folder=sound)
    assert len(readings) == 2
    monkeypatch.setattr(caching, "VERSION", "99.0")
    load_rulebook(folder=sound)
    assert len(readings) == 3
    firm = tmp_path / "firm"
    firm.mkdir()
    (firm / "words.yaml").write_text("- {id: own-words, title: own, topic: water, words: [one]}\n", encoding="utf-8")
    load_rulebook([firm], folder=sound)
    assert len(readings) == 4


def damaged(how: str, path: Path) -> None:
    content = path.read_bytes()
    if how == "cut short":
        path.write_bytes(content[: len(content) // 2])
    elif how == "emptied":
        path.write_bytes(b"")
    elif how == "one letter changed":
        path.write_bytes(content.replace(b"old dwelling", b"odd dwelling"))
    elif how == "of another form":
        import hashlib

        body = b'{"digest": 3}'
        path.write_bytes(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
    else:
        path.unlink()
        path.mkdir()


@pytest.mark.parametrize(
    "how", ["cut short", "emptied", "one letter changed", "of another form", "a folder in its place"]
)
def test_a_damaged_file_is_as_if_nothing_were_kept(
    sound: Path, cache_folder: Path, readings: list[int], how: str
) -> None:
    first = load_rulebook(folder=sound)
    damaged(how, kept(cache_folder)[0])
    assert load_rulebook(folder=sound) == first
    assert len(readings) == 2


@pytest.mark.parametrize("step", ["mkdir", "mkstemp", "replace"])
def test_a_folder_that_cannot_be_written_is_no_error(
    sound: Path, cache_folder: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def refused(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    owner = {"mkdir": Path, "mkstemp": caching.tempfile, "replace": caching.os}[step]
    monkeypatch.setattr(owner, step, refused)
    assert load_rulebook(folder=sound).digest
    monkeypatch.undo()
    assert kept(cache_folder) == []


def test_a_file_where_the_folder_should_be_is_no_error(sound: Path, cache_folder: Path) -> None:
    cache_folder.parent.mkdir(parents=True)
    cache_folder.write_text("in the way", encoding="utf-8")
    assert load_rulebook(folder=sound).digest


def test_an_unsound_base_is_not_kept(sound: Path, cache_folder: Path) -> None:
    (sound / "topics.yaml").write_text("- {id: water, title: Water}\n", encoding="utf-8")
    for _ in range(2):
        with pytest.raises(InvalidInput):
            load_rulebook(folder=sound)
    assert not cache_folder.exists()


def test_only_the_last_few_bases_are_kept_and_nothing_half_written_stays(sound: Path, cache_folder: Path) -> None:
    for number in range(12):
        (sound / "topics.yaml").write_text(f"- {{id: water, title: W{number}, account: x}}\n", encoding="utf-8")
        load_rulebook(folder=sound)
    files = kept(cache_folder)
    assert len(files) == 8
    assert all(file.suffix == ".json" for file in files)


def _load(folder: Path, cache: Path) -> str:
    caching.user_cache_path = lambda *_, **__: cache
    book: Rulebook = load_rulebook(folder=folder)
    return book.digest


def test_processes_that_load_at_once_do_not_disturb_each_other(sound: Path, tmp_path: Path, cache_folder: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(4) as pool:
        digests = pool.starmap(_load, [(sound, tmp_path / "cache")] * 8)
    assert set(digests) == {load_rulebook(folder=sound, cache=False).digest}
    assert [file.suffix for file in kept(cache_folder)] == [".json"]
