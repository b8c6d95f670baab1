"""What a change of the rule base moves: the opinions of two bases on the same cases beside each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from engine.case import read_case
from engine.errors import InvalidInput
from engine.opinion.models import AreaOpinion, Opinion
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import weigh_with

POINTS = 5.0
"""Percentage points by which a probability must move to be told."""


@dataclass(frozen=True, slots=True)
class Moved:
    """One result that differs: of which case and area, which result, and what it was and is."""

    case: str
    area: str
    what: str
    before: str
    after: str


def compare_results(old: Reasoner, new: Reasoner, files: Sequence[Path]) -> tuple[Moved, ...]:
    """Every result that differs between two rule bases over case files, in the order of files and areas.

    Results are what is determined and leading, probabilities (by more than 5 points), steps and whether they are
    held back (not their order), cautions, and timber. A case that only one base can read is told as such;
    InvalidInput, with all faults, for those that neither can.
    """
    moved: list[Moved] = []
    faults: list[InvalidInput] = []
    for path in files:
        before, after = _weighed(old, path), _weighed(new, path)
        if isinstance(before, InvalidInput) and isinstance(after, InvalidInput):
            faults.append(after)
        elif isinstance(before, InvalidInput) or isinstance(after, InvalidInput):
            moved.append(Moved(path.stem, "", "case", _readable(before), _readable(after)))
        else:
            moved += moved_between(path.stem, before, after)
    if faults:
        raise InvalidInput(problem for fault in faults for problem in fault.problems)
    return tuple(moved)


def _weighed(reasoner: Reasoner, path: Path) -> Opinion | InvalidInput:
    try:
        case = read_case(path, vocabulary=reasoner.rulebook)
    except InvalidInput as fault:
        return fault
    return weigh_with(reasoner, case, folder=path.parent)


def _readable(outcome: Opinion | InvalidInput) -> str:
    if isinstance(outcome, InvalidInput):
        return f"cannot be read: {outcome.problems[0].sentence()}"
    return "can be read"


def moved_between(case: str, before: Opinion, after: Opinion) -> Iterator[Moved]:
    """What moved in each area; both opinions are of one case, so their areas are the same."""
    for one, other in zip(before.areas, after.areas, strict=True):
        for what, was, is_now in _results(one, other):
            if was != is_now:
                yield Moved(case, one.id, what, was, is_now)


def _results(one: AreaOpinion, other: AreaOpinion) -> Iterator[tuple[str, str, str]]:
    yield "determined", _determined(one), _determined(other)
    yield "leading", _listed(one.leading), _listed(other.leading)
    was = {cause.id: cause.probability for cause in one.causes}
    is_now = {cause.id: cause.probability for cause in other.causes}
    for cause in sorted({*was, *is_now}):
        before, after = was.get(cause), is_now.get(cause)
        if before is None or after is None or abs(after - before) * 100 > POINTS:
            yield f"probability of {cause}", _percent(before), _percent(after)
    yield from _named("step", "not advised", _steps(one), _steps(other))
    raised = [{item.id: "raised" for item in area.cautions} for area in (one, other)]
    yield from _named("caution", "not raised", *raised)
    yield "timber", one.timber.state, other.timber.state


def _named(
    what: str, otherwise: str, was: Mapping[str, str], is_now: Mapping[str, str]
) -> Iterator[tuple[str, str, str]]:
    """Each thing of a list by its name, with its standing before and after."""
    for name in sorted({*was, *is_now}):
        yield f"{what} {name}", was.get(name, otherwise), is_now.get(name, otherwise)


def _steps(area: AreaOpinion) -> dict[str, str]:
    return {step.id: "held back" if step.held_back else "advised" for step in area.steps}


def _determined(area: AreaOpinion) -> str:
    return f"yes, {area.level}" if area.determined else "no"


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) or "none"


def _percent(probability: float | None) -> str:
    return "not weighed" if probability is None else f"{100 * probability:.0f} %"
