"""Each seeded fault of a rule base gives exactly the message that stands beside it.

Every folder under ``rules/faults`` holds records that are laid over the small sound base ``rules/sound``, and
``expected.txt``: one line for each fault, and for each remark with the word in front; empty where what looks odd
is right.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.errors import InvalidInput, Problem
from engine.rulebook import load_rulebook, read_rulebook
from engine.rulebook.checking import check_rulebook

FOLDER = Path(__file__).parent / "rules"
SPECIMENS = sorted(path.name for path in (FOLDER / "faults").iterdir())


def said(specimen: Path) -> str:
    rulebook, problems = read_rulebook([specimen], folder=Path("sound"))
    report = check_rulebook(rulebook)
    faults = sorted({*problems, *report.faults}, key=Problem.order)
    lines = [fault.sentence() for fault in faults] + [f"remark: {remark.sentence()}" for remark in report.remarks]
    return "".join(f"{line}\n" for line in lines).replace(f"{specimen.as_posix()}/", "")


@pytest.fixture(autouse=True)
def _in_the_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)


@pytest.mark.parametrize("name", SPECIMENS)
def test_a_seeded_fault_gives_its_exact_message(name: str) -> None:
    specimen = Path("faults") / name
    assert said(specimen) == (specimen / "expected.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", SPECIMENS)
def test_a_base_with_a_seeded_fault_is_refused_and_one_with_a_remark_is_not(name: str) -> None:
    specimen = Path("faults") / name
    expected = (specimen / "expected.txt").read_text(encoding="utf-8").splitlines()
    if all(line.startswith("remark: ") for line in expected):
        assert load_rulebook([specimen], folder=Path("sound"), cache=False).origin
        return
    with pytest.raises(InvalidInput) as refusal:
        load_rulebook([specimen], folder=Path("sound"), cache=False)
    assert len(refusal.value.problems) == sum(not line.startswith("remark: ") for line in expected)


def test_the_base_under_the_specimens_is_sound_and_has_no_gaps() -> None:
    rulebook, problems = read_rulebook(folder=Path("sound"))
    report = check_rulebook(rulebook)
    assert (problems, report.faults, report.remarks) == ((), (), ())
