"""The rule base checked as a whole: what makes it unsound, what is worth a remark, and how much there is of what."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from engine.errors import Problem
from engine.rulebook.book import Rulebook
from engine.rulebook.checks import (
    believing,
    comparing,
    concluding,
    describing,
    examples,
    gaps,
    legal,
    naming,
    reviewing,
    testing,
    wording,
)
from engine.rulebook.checks.inspection import Inspection
from engine.rulebook.loading import read_rulebook

_FAULTS: tuple[Callable[[Inspection], Iterable[Problem]], ...] = (
    naming.faults,
    testing.faults,
    concluding.faults,
    describing.faults,
    believing.faults,
    examples.faults,
    comparing.faults,
    gaps.faults,
    legal.faults,
    reviewing.faults,
    wording.faults,
)
_REMARKS: tuple[Callable[[Inspection], Iterable[Problem]], ...] = (believing.remarks, comparing.remarks, gaps.remarks)


@dataclass(frozen=True, slots=True)
class Report:
    """What a check found: faults, with which a base is not loaded; remarks, with which it is; counts by name."""

    faults: tuple[Problem, ...]
    remarks: tuple[Problem, ...]
    counts: Mapping[str, int]


def check_rulebook(rulebook: Rulebook) -> Report:
    """Every fault and remark on a rule base that has been read, in the order of files and lines."""
    inspection = Inspection(rulebook)
    return Report(
        faults=_gathered(inspection, _FAULTS),
        remarks=_gathered(inspection, _REMARKS),
        counts=_counts(rulebook),
    )


def report_text(folder: Path | None = None, extra: Iterable[Path] = ()) -> str:
    """The whole check of a folder (by default the program's own) as text, one fault or remark a line."""
    rulebook, problems = read_rulebook(tuple(extra), folder=folder)
    report = check_rulebook(rulebook)
    faults = sorted({*problems, *report.faults}, key=Problem.order)
    lines = [fault.sentence() for fault in faults]
    lines.append(f"{len(faults)} faults")
    if report.remarks:
        lines += ["", *(remark.sentence() for remark in report.remarks), f"{len(report.remarks)} remarks"]
    lines += ["", *(f"{count:6} {name}" for name, count in report.counts.items())]
    return "\n".join(lines)


def _gathered(
    inspection: Inspection, checks: Iterable[Callable[[Inspection], Iterable[Problem]]]
) -> tuple[Problem, ...]:
    found = {problem for check in checks for problem in check(inspection)}
    return tuple(sorted(found, key=Problem.order))


def _counts(rulebook: Rulebook) -> dict[str, int]:
    counts = {kind.replace("_", " "): len(records) for kind, records in rulebook.kinds.items()}
    counts["word lists"] = counts.pop("words")
    counts["rules that are retired"] = sum(rule.status == "retired" for rule in rulebook.rules.values())
    counts["fields not assessed"] = gaps.not_assessed(rulebook.records.values())
    return counts
