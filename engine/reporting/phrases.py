"""Small phrases that several sections of a report share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from engine.case.models import Fact
from engine.days import day_words
from engine.explaining.wording import value_words
from engine.opinion.models import StepAdvice
from engine.opinion.words import list_words
from engine.reporting.blocks import Notice, Table
from engine.reporting.material import Material, Place
from engine.rulebook import Rulebook

NOT_STATED = "not stated in the case"
URGENCY = {"hours": "within hours", "days": "within days", "weeks": "within weeks", "planned": "when it can be planned"}
FACTS = ("What", "Found", "Where", "Basis", "Note")
TOLD = ("What", "As told", "By whom", "Where", "Note")


def missing(text: str) -> Notice:
    """Something that the report should hold and the case does not, said in so many words."""
    return Notice("missing", "Missing", text)


def most_pressing(steps: Sequence[StepAdvice], most: int) -> tuple[StepAdvice, ...]:
    """The first steps in their order, what cannot wait for days before all; none that is held back."""
    free = [step for step in steps if not step.held_back]
    return tuple(sorted(free, key=lambda step: step.urgency != "hours")[:most])


def capital(text: str) -> str:
    """The same words with the first letter large."""
    return text[:1].upper() + text[1:]


def plain(word: str) -> str:
    """A word of the format or of the records as it is said: without its hyphens."""
    return word.replace("-", " ")


def number(value: float | None) -> str:
    """A number as it was written, without idle zeros; nothing for None."""
    return "" if value is None else f"{value:.10g}".replace("-", "−")


def material_of(name: str | None) -> str:
    """A material as it is said."""
    return plain(name) if name else NOT_STATED


def titles(rulebook: Rulebook, ids: Iterable[str]) -> str:
    """The titles of records in a row."""
    return list_words(rulebook.title(name) for name in ids)


def visit_words(found: Material, name: str | None) -> str:
    """A visit by its day; the only visit where none is named."""
    if name is None and len(found.visits) > 1:
        return NOT_STATED
    visit = next((one for one in found.visits if one.id == name), found.visits[0])
    return day_words(visit.on, weekday=False)


def surface_words(place: Place, name: str | None) -> str:
    """A surface by its title, else by its id."""
    surface = next((one for one in place.area.surfaces if one.id == name), None)
    return (surface.title or plain(surface.id)) if surface else ""


def spot(x_mm: float | None, y_mm: float | None) -> str:
    """A place on a surface, in millimetres from its bottom left."""
    if x_mm is None and y_mm is None:
        return ""
    return f"{number(x_mm) or '?'} right, {number(y_mm) or '?'} up"


def facts_table(found: Material, caption: str, facts: Iterable[tuple[str, Fact]]) -> Table:
    """Facts with where each was recorded, as a table in the order of the case."""
    rows = []
    for where, fact in facts:
        by = f", {fact.by}" if fact.by else ""
        basis = f"{fact.basis}{by}{_doubt(fact)}"
        rows.append((*_said(found, fact), f"{where}{_on(found, fact)}", basis, fact.note or ""))
    return Table(caption, FACTS, tuple(rows)).filled()


def told_table(found: Material, caption: str, facts: Iterable[tuple[str, Fact]]) -> Table:
    """What was told, and by whom."""
    rows = []
    for where, fact in facts:
        by = f"{fact.by or NOT_STATED}{_doubt(fact)}"
        rows.append((*_said(found, fact), by, f"{where}{_on(found, fact)}", fact.note or ""))
    return Table(caption, TOLD, tuple(rows)).filled()


def _doubt(fact: Fact) -> str:
    return "" if fact.sureness == "certain" else f"; {plain(fact.sureness)}"


def _said(found: Material, fact: Fact) -> tuple[str, str]:
    return capital(found.rulebook.title(fact.attribute)), value_words(found.rulebook, fact.attribute, fact.value)


def _on(found: Material, fact: Fact) -> str:
    return f", {visit_words(found, fact.visit)}" if fact.visit and len(found.visits) > 1 else ""
