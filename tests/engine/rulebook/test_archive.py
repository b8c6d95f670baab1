"""Rule bases kept by digest: read back as they were, never believed for their names, never half there."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.errors import InvalidInput
from engine.rulebook import Rulebook, archive, load_rulebook
from engine.rulebook.archive import keep, kept, recalled


@pytest.fixture
def base(sound: Path) -> Rulebook:
    return load_rulebook(folder=sound, cache=False)


def test_a_kept_base_is_read_back_with_every_record_as_it_was(base: Rulebook, tmp_path: Path) -> None:
    put = keep(base, tmp_path / "kept")
    one, again = recalled(base.digest, tmp_path / "kept")
    assert one == put == kept(tmp_path / "kept")[0]
    assert again.digest == base.digest
    assert again.digests == base.digests
    assert again.kinds == base.kinds
    assert list(again.reference_classes) == list(base.reference_classes)


def test_the_programs_own_base_is_read_back_with_every_record_as_it_was(tmp_path: Path) -> None:
    own = load_rulebook()
    keep(own, tmp_path)
    _, again = recalled(own.digest[:12], tmp_path)
    assert again.digests == own.digests
    assert again.kinds == own.kinds


def test_keeping_twice_keeps_once_and_leaves_nothing_half_done(base: Rulebook, tmp_path: Path) -> None:
    place = tmp_path / "kept"
    assert keep(base, place) == keep(base, place)
    assert [path.name for path in place.iterdir()] == [base.digest]


def test_a_base_is_an_ordinary_folder_of_records(base: Rulebook, tmp_path: Path) -> None:
    assert load_rulebook(folder=keep(base, tmp_path).folder, cache=False).digest == base.digest


def test_a_base_that_was_changed_is_not_believed_for_its_name(base: Rulebook, tmp_path: Path) -> None:
    folder = keep(base, tmp_path).folder
    file = next(path for path in sorted(folder.glob("*.yaml")) if "title" in path.read_text(encoding="utf-8"))
    file.write_text(file.read_text(encoding="utf-8").replace('"title": "', '"title": "not ', 1), encoding="utf-8")
    with pytest.raises(InvalidInput, match="records that were changed"):
        recalled(base.digest, tmp_path)
    with pytest.raises(InvalidInput, match="records that were changed"):
        keep(base, tmp_path)


def test_a_base_that_cannot_be_read_any_more_is_told_with_the_version_that_kept_it(
    base: Rulebook, tmp_path: Path
) -> None:
    folder = keep(base, tmp_path).folder
    (folder / "kept-by.txt").write_text("0.0.7\n", encoding="utf-8")
    file = sorted(folder.glob("*.yaml"))[0]
    file.write_text("- {id: x, unheard-of: 1}\n", encoding="utf-8")
    with pytest.raises(InvalidInput, match=r"records that cannot be read: .*kept by version 0\.0\.7"):
        recalled(base.digest, tmp_path)


def test_what_is_not_at_hand_is_named_with_what_is(base: Rulebook, tmp_path: Path) -> None:
    keep(base, tmp_path)
    with pytest.raises(InvalidInput, match=f"no rule base of digest {'a' * 12}; allowed: one of {base.digest[:12]}"):
        recalled("a" * 64, tmp_path)
    with pytest.raises(InvalidInput, match="none was kept here"):
        recalled("a" * 64, tmp_path / "nowhere")


@pytest.mark.parametrize("name", ["", "abc", "a" * 11, "A" * 64, "../" * 5, "a" * 65, "g" * 64])
def test_only_digits_of_a_digest_name_a_base(name: str, base: Rulebook, tmp_path: Path) -> None:
    keep(base, tmp_path)
    with pytest.raises(InvalidInput, match="hexadecimal digits"):
        recalled(name, tmp_path)


def test_a_base_that_cannot_be_written_whole_is_not_there(
    base: Rulebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(archive.os, "replace", full)
    with pytest.raises(OSError, match="No space left"):
        keep(base, tmp_path / "kept")
    assert not list((tmp_path / "kept").iterdir())


def test_two_bases_that_share_their_first_digits_are_not_mistaken(base: Rulebook, tmp_path: Path) -> None:
    keep(base, tmp_path)
    twin = base.digest[:12] + "".join("0" if digit != "0" else "1" for digit in base.digest[12:])
    (tmp_path / twin).mkdir()
    with pytest.raises(InvalidInput, match="2 rule bases of digest"):
        recalled(base.digest[:12], tmp_path)
    assert recalled(base.digest, tmp_path)[1].digest == base.digest
