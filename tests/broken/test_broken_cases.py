"""Each broken case file gives exactly the message that stands beside it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import pytest

from engine.case import read_case
from engine.errors import InvalidInput

FOLDER = Path(__file__).parent / "cases"
BROKEN = sorted(path for path in FOLDER.iterdir() if path.suffix in (".yaml", ".json"))


@dataclass(frozen=True)
class Asked:
    """One attribute of the small vocabulary against which the files are read."""

    title: str
    scope: str
    kind: str
    choices: tuple[str, ...] = ()
    unit: str | None = None
    minimum: float | None = None
    maximum: float | None = None

    def words(self) -> tuple[str, ...]:
        return ("yes", "no") if self.kind == "yes-no" else self.choices


@dataclass(frozen=True)
class Words:
    """A vocabulary that stays the same however the rule base grows."""

    questions: dict[str, Asked] = field(
        default_factory=lambda: {
            "wall-construction": Asked("wall construction", "dwelling", "choice", ("solid-brick", "cavity-unfilled")),
            "weather": Asked("weather on the day", "visit", "choice", ("dry", "rain")),
            "tide-mark": Asked("a tide mark", "area", "yes-no"),
            "damp-height": Asked("height of the damp", "area", "number", (), "mm", 0.0, 5000.0),
        }
    )
    measures: dict[str, Asked] = field(default_factory=lambda: {"pins-excess": Asked("excess", "area", "number")})
    findings: dict[str, str] = field(default_factory=lambda: {"tide-line": "a tide line"})
    causes: dict[str, str] = field(default_factory=lambda: {"ground-rise": "", "bridged-dpc": ""})
    steps: dict[str, str] = field(default_factory=lambda: {"oven-dry-samples": ""})
    cautions: dict[str, str] = field(default_factory=lambda: {"wet-electrics": ""})


def faults(path: Path) -> str:
    with pytest.raises(InvalidInput) as caught:
        read_case(path, vocabulary=Words())
    return "\n".join(problem.sentence() for problem in caught.value.problems).replace(str(path), path.name) + "\n"


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.name)
def test_a_broken_case_file_gives_its_exact_message(path: Path) -> None:
    assert faults(path) == path.with_name(f"{path.name}.expected").read_text(encoding="utf-8")


def test_there_are_at_least_fifty_broken_case_files() -> None:
    assert len(BROKEN) >= 50


def test_every_expected_message_has_its_file() -> None:
    expected = {path.name.removesuffix(".expected") for path in FOLDER.glob("*.expected")}
    assert expected == {path.name for path in BROKEN}


def test_no_two_broken_case_files_show_the_same_messages() -> None:
    messages = [faults(path).replace(path.name, "") for path in BROKEN]
    assert len(set(messages)) == len(messages)
