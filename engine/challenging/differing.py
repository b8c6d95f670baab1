"""Two inspectors' files on one house: what they record differently, and which of it matters to the opinion.

Each difference is put into the first file by itself and the areas that it touches are weighed again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from engine.case.models import Case, Fact
from engine.case.vocabulary import UNSETTLED
from engine.challenging.comparing import DataDifference, FactDifference, compare
from engine.challenging.swapping import area_of, with_data, with_fact
from engine.opinion.models import AreaOpinion
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import gather, weigh_area
from engine.opinion.words import decibans, odds
from engine.rulebook import Rulebook

LEAST_MOVE_DECIBANS = 2.0
"""A belief that moves less than this, and keeps its word, is not said to have moved [dB]."""
FLOOR = 1e-6
"""Under this a probability's odds are not told apart."""

Change = FactDifference | DataDifference


@dataclass(frozen=True, slots=True)
class Said:
    """What one file says, as it reads; an empty value means that it does not say."""

    value: str = ""
    basis: str = ""
    sureness: str = ""


@dataclass(frozen=True, slots=True)
class FactLine:
    """One attribute at one place, with what each file says."""

    place: str
    attribute: str
    title: str
    kind: str
    first: Said
    second: Said


@dataclass(frozen=True, slots=True)
class Move:
    """A cause's belief with the first file as it is, and with one difference put into it."""

    cause: str
    title: str
    before: str
    after: str
    more: bool


@dataclass(frozen=True, slots=True)
class Answer:
    """An area's answer: whether determined, and the titles of the leading causes."""

    area: str
    title: str
    determined: bool
    leading: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """What one difference does to one area: ``turns`` when the leading causes or the verdict change."""

    difference: str
    area: str
    turns: bool
    before: Answer
    after: Answer
    moves: tuple[Move, ...]


@dataclass(frozen=True, slots=True)
class Together:
    """Differences that change an area's answer together, where none of them does by itself."""

    area: str
    differences: tuple[str, ...]
    after: Answer


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two files on one house; ``effects`` hold the differences that move a belief, those that turn the answer first.

    ``data`` within noise are no differences and have no effects; ``noise`` counts them.
    """

    titles: tuple[str, str]
    answers: tuple[tuple[Answer | None, Answer | None], ...]
    facts: tuple[FactLine, ...]
    data: tuple[DataDifference, ...]
    unpaired: tuple[tuple[str, str], ...]
    effects: tuple[Effect, ...]
    together: tuple[Together, ...]
    without_effect: int
    noise: int


def differ(
    reasoner: Reasoner, first: Case, second: Case, folders: tuple[Path | None, Path | None] = (None, None)
) -> Comparison:
    """Compare two cases read against the reasoner's rule base; ``folders`` are those that hold their loggers' files."""
    differences = compare(first, second, reasoner.rulebook.numbers)
    twins = dict(differences.areas)

    def weigh(case: Case, name: str, folder: Path | None = folders[0]) -> AreaOpinion:
        area = area_of(case, name)
        return weigh_area(reasoner, area, gather(reasoner, case, area, folder))

    before = {area.id: weigh(first, area.id) for area in first.areas}
    after = {area.id: weigh(second, area.id, folders[1]) for area in second.areas}
    measured = [item for item in differences.data if item.kind != "loggers" and not item.within_noise]
    changes: Sequence[Change] = [*differences.facts, *measured]
    effects = [
        found
        for change in changes
        for name in _touched(change, before)
        if (found := _effect(reasoner, change, before[name], weigh(_swapped(first, second, change), name)))
    ]
    effects.sort(key=lambda found: (not found.effect.turns, -found.size, found.effect.difference, found.effect.area))
    together = [
        joined
        for name in before
        if name in twins and _turned(before[name], after[twins[name]])
        if (joined := _together(reasoner.rulebook, first, second, [e for e in effects if e.area == name], weigh))
    ]
    return Comparison(
        titles=(first.title, second.title),
        answers=_answers(twins, before, after),
        facts=tuple(_line(reasoner.rulebook, fact) for fact in differences.facts),
        data=differences.data,
        unpaired=differences.unpaired,
        effects=tuple(found.effect for found in effects),
        together=tuple(together),
        without_effect=len(changes) - len({id(found.change) for found in effects}),
        noise=sum(item.within_noise for item in differences.data),
    )


@dataclass(frozen=True, slots=True)
class _Found:
    """An effect, the difference behind it, the area that it is on, and its largest move [dB]."""

    change: Change
    area: str
    size: float
    effect: Effect


def _touched(change: Change, areas: Iterable[str]) -> list[str]:
    """The areas that a difference can touch: its own, or all of them."""
    return [change.spot.areas[0]] if change.spot.areas[0] else list(areas)


def _swapped(first: Case, second: Case, change: Change) -> Case:
    return with_fact(first, change) if isinstance(change, FactDifference) else with_data(first, second, change)


def _turned(before: AreaOpinion, after: AreaOpinion) -> bool:
    return (before.determined, set(before.leading)) != (after.determined, set(after.leading))


def _effect(reasoner: Reasoner, change: Change, before: AreaOpinion, after: AreaOpinion) -> _Found | None:
    """What a difference does; None where no belief moves and the answer stays."""
    beliefs = {cause.id: cause for cause in after.causes}
    moves: list[tuple[float, Move]] = []
    floor = reasoner.rulebook.parameter("open-at-least")
    for cause in before.causes:
        now = beliefs[cause.id]
        size = abs(_log_odds(now.probability) - _log_odds(cause.probability))
        told = max(cause.probability, now.probability) >= floor
        if told and (cause.words != now.words or size >= LEAST_MOVE_DECIBANS):
            more = now.probability > cause.probability
            moves.append((size, Move(cause.id, cause.title, cause.words, now.words, more)))
    turns = _turned(before, after)
    if not moves and not turns:
        return None
    moves.sort(key=lambda move: (-move[0], move[1].cause))
    title = difference_title(reasoner.rulebook, change)
    effect = Effect(title, before.title, turns, _answer(before), _answer(after), tuple(move for _, move in moves))
    return _Found(change, before.id, max((size for size, _ in moves), default=0.0), effect)


def _together(
    rulebook: Rulebook, first: Case, second: Case, effects: Sequence[_Found], weigh: Callable[[Case, str], AreaOpinion]
) -> Together | None:
    """The differences that turn an area's answer when they are put into the first one after another, weightiest first.

    None where one does so by itself, or all that move a belief do not.
    """
    if any(found.effect.turns for found in effects):
        return None
    case, titles = first, list[str]()
    for found in effects:
        case = _swapped(case, second, found.change)
        titles.append(difference_title(rulebook, found.change))
        answer = _answer(weigh(case, found.area))
        if (answer.determined, set(answer.leading)) != (
            found.effect.before.determined,
            set(found.effect.before.leading),
        ):
            return Together(found.effect.area, tuple(titles), answer)
    return None


def _log_odds(probability: float) -> float:
    return decibans(odds(min(max(probability, FLOOR), 1 - FLOOR)))


def difference_title(rulebook: Rulebook, change: Change) -> str:
    """A difference as it is spoken of: the attribute or the kind of data, and the place."""
    what = change.kind.replace("_", " ") if isinstance(change, DataDifference) else _title(rulebook, change.attribute)
    return f"{what} ({change.spot.title})"


def _title(rulebook: Rulebook, attribute: str) -> str:
    known = rulebook.attributes.get(attribute)
    return known.title if known else attribute


def _answer(opinion: AreaOpinion) -> Answer:
    titles = {cause.id: cause.title for cause in opinion.causes}
    leading = tuple(titles[cause] for cause in opinion.leading)
    return Answer(opinion.id, opinion.title, opinion.determined, leading)


def _answers(
    twins: Mapping[str, str], before: dict[str, AreaOpinion], after: dict[str, AreaOpinion]
) -> tuple[tuple[Answer | None, Answer | None], ...]:
    """The answers of both files, area by area as they were paired."""
    pairs: list[tuple[Answer | None, Answer | None]] = [
        (_answer(opinion), _answer(after[twins[name]]) if name in twins else None) for name, opinion in before.items()
    ]
    met = set(twins.values())
    return (*pairs, *((None, _answer(opinion)) for name, opinion in after.items() if name not in met))


def _line(rulebook: Rulebook, difference: FactDifference) -> FactLine:
    return FactLine(
        place=difference.spot.title,
        attribute=difference.attribute,
        title=_title(rulebook, difference.attribute),
        kind=difference.kind,
        first=_said(rulebook, difference.first),
        second=_said(rulebook, difference.second),
    )


def _said(rulebook: Rulebook, fact: Fact | None) -> Said:
    if fact is None:
        return Said()
    attribute = rulebook.attributes.get(fact.attribute)
    value = f"{fact.value:g}" if isinstance(fact.value, float) else str(fact.value)
    if attribute is not None:
        value = next((choice.title for choice in attribute.choices if choice.id == fact.value), value)
        value = f"{value} {attribute.unit}" if isinstance(fact.value, float) and attribute.unit else value
    return Said(value.replace("-", " ") if value in UNSETTLED else value, fact.basis, fact.sureness)
