"""The sheet of the signs: every question of the vocabulary, by what it holds for and by topic, with its answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Protocol

from engine.case.describing import words_at
from engine.case.vocabulary import UNSETTLED, Attribute, Vocabulary
from engine.case.workbook.common import SIGN_COLUMNS, SIGN_PLACE, SIGN_QUESTION
from engine.case.workbook.headings import letters
from engine.case.workbook.layout import AREA, HOUSE, PLACES, SURFACE, VISIT
from engine.case.workbook.lists import DropDowns
from engine.case.workbook.rows import Fields
from engine.case.workbook.styles import bold, commented, heading, laid_out, written

_PLACE_OF = {"dwelling": HOUSE, "visit": VISIT, "area": AREA, "surface": SURFACE}
_SECTIONS = {HOUSE: "The house", VISIT: "Each visit", AREA: "Each damp place", SURFACE: "Each surface"}
_SPARE = 50
"""Empty rows below the last question, with drop-downs, for further places."""


class Titled(Protocol):
    """Something with a title."""

    @property
    def title(self) -> str:
        """How it reads."""


class Choice(Titled, Protocol):
    """One allowed word, and how it reads."""

    @property
    def id(self) -> str:
        """The word."""


class Asked(Attribute, Protocol):
    """A question as it is put to a person."""

    @property
    def topic(self) -> str:
        """The topic to which it belongs."""

    @property
    def prompt(self) -> str:
        """The question in full."""

    @property
    def how(self) -> str:
        """How to look."""

    @property
    def choices(self) -> Sequence[Choice]:
        """The words of a choice."""


class Questionnaire(Vocabulary, Protocol):
    """A vocabulary whose questions can be put to a person; a rule base is one."""

    @property
    def questions(self) -> Mapping[str, Asked]:
        """The questions by attribute."""

    @property
    def topics(self) -> Mapping[str, Titled]:
        """The topics by id, in the order in which they are opened."""


def write_signs(sheet: Any, lists: DropDowns, vocabulary: Questionnaire, given: Iterable[Fields]) -> None:
    """Write every question, those answered with their answers, and a section heading above each topic."""
    facts: dict[str, list[Fields]] = {}
    for fact in given:
        facts.setdefault(fact["attribute"], []).append(fact)
    for place, column in enumerate(SIGN_COLUMNS, start=1):
        heading(sheet.cell(1, place), column.heading)
        commented(sheet.cell(1, place), column.note)
    row = 1
    for title, names in _sections(vocabulary):
        row += 1
        sheet.cell(row, 1, title).font = bold(italic=True)
        for name in names:
            question = vocabulary.questions[name]
            for fact in facts.pop(name, [{}]):
                row += 1
                _question(sheet, row, lists, name, question, fact)
    for name, rest in facts.items():
        for fact in rest:
            row += 1
            _cells(sheet, row, {**fact, "attribute": name}, name)
    for further in range(row + 1, row + 1 + _SPARE):
        _cells(sheet, further, {}, None)
    _offer(sheet, lists, row + _SPARE)
    laid_out(sheet, [column.width for column in SIGN_COLUMNS], frozen="B2")
    sheet.auto_filter.ref = f"A1:{letters(len(SIGN_COLUMNS) - 1)}{row}"


def _sections(vocabulary: Questionnaire) -> Iterator[tuple[str, list[str]]]:
    topics = list(vocabulary.topics)
    for scope, place in _PLACE_OF.items():
        for topic in topics:
            inside = [
                name
                for name, question in vocabulary.questions.items()
                if (question.scope, question.topic) == (scope, topic)
            ]
            if inside:
                yield f"{_SECTIONS[place]}: {vocabulary.topics[topic].title}", inside


def _question(sheet: Any, row: int, lists: DropDowns, name: str, question: Asked, fact: Fields) -> None:
    unit = f" [{question.unit}]" if question.unit else ""
    text = question.title[:1].upper() + question.title[1:] + unit
    _cells(sheet, row, {"holds-for": _PLACE_OF[question.scope], **fact, "attribute": name}, text)
    commented(sheet.cell(row, 1), _how(question))
    if question.kind != "number":
        lists.words(sheet, f"B{row}", (*question.words(), *UNSETTLED), question.title)


def _how(question: Asked) -> str:
    lines = [question.prompt, "", f"How to look: {question.how}"]
    if question.choices:
        lines += ["", *(f"{choice.id}: {choice.title}" for choice in question.choices)]
    if question.kind == "number":
        low, high = question.minimum, question.maximum
        bounds = (f" from {low:g}" if low is not None else "") + (f" up to {high:g}" if high is not None else "")
        lines += ["", f"A number{bounds}{f' {question.unit}' if question.unit else ''}, or {', '.join(UNSETTLED)}."]
    return "\n".join(lines)


def _cells(sheet: Any, row: int, fact: Fields, question: str | None) -> None:
    for place, column in enumerate(SIGN_COLUMNS, start=1):
        value = question if column is SIGN_QUESTION else fact.get(column.field)
        written(sheet.cell(row, place), None if column.field == "private" and value is False else value)


def _offer(sheet: Any, lists: DropDowns, last: int) -> None:
    for place, column in enumerate(SIGN_COLUMNS):
        cells = f"{letters(place)}2:{letters(place)}{last}"
        if column is SIGN_PLACE:
            lists.words(sheet, cells, PLACES, column.heading)
        elif column.names:
            lists.ids(sheet, cells, column.names)
        elif column.field == "private":
            lists.words(sheet, cells, ("yes", "no"), column.heading)
        elif column.field in ("basis", "sureness"):
            lists.words(sheet, cells, words_at(("areas", 0, "facts", 0, column.field)), column.heading)
