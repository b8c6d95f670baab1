"""Each broken case file gives exactly the message that stands beside it."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import pytest

from engine.case import read_case
from engine.errors import InvalidInput

FOLDER = Path(__file__).parent / "cases"
BROKEN = sorted(path for path in FOLDER.iterdir() if path.suffix in (".yaml", ".json"))


def faults(path: Path, small_vocabulary: ModuleType) -> str:
    with pytest.raises(InvalidInput) as caught:
        read_case(path, vocabulary=small_vocabulary.Words())
    return "\n".join(problem.sentence() for problem in caught.value.problems).replace(str(path), path.name) + "\n"


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.name)
def test_a_broken_case_file_gives_its_exact_message(path: Path, small_vocabulary: ModuleType) -> None:
    assert faults(path, small_vocabulary) == path.with_name(f"{path.name}.expected").read_text(encoding="utf-8")


def test_there_are_at_least_fifty_broken_case_files() -> None:
    assert len(BROKEN) >= 50


def test_every_expected_message_has_its_file() -> None:
    expected = {path.name.removesuffix(".expected") for path in FOLDER.glob("*.expected")}
    assert expected == {path.name for path in BROKEN}


def test_no_two_broken_case_files_show_the_same_messages(small_vocabulary: ModuleType) -> None:
    messages = [faults(path, small_vocabulary).replace(path.name, "") for path in BROKEN]
    assert len(set(messages)) == len(messages)
