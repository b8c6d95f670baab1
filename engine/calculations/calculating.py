"""One calculation carried out: what was written is checked, all faults at once; what comes out says what it rests on.

It rests on numbers of the rule base and on sources, each with how it reached us.
"""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from engine.calculations.models import Amount, Calculation, Choice, Cited, Given, Result, Seen
from engine.errors import InvalidInput, Problem, nearest
from engine.reading import shown

if TYPE_CHECKING:
    from engine.rulebook import Rulebook
    from engine.rulebook.models import Source

_NUMBER = re.compile(r"[-+−]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?", re.ASCII)
_WITH_COMMA = re.compile(r"[-+−]?[0-9]+,[0-9]+")
_REFUSED = re.compile(r"(.*?): found (.*?); allowed: (.*)", re.DOTALL)
"""How the measures word a refusal."""


@dataclass(frozen=True, slots=True)
class Entered:
    """One input as it counted: its value or values, and the parameter from which it came when none was given."""

    name: str
    title: str
    values: tuple[float | str, ...]
    unit: str
    assumed: bool
    parameter: str | None


@dataclass(frozen=True, slots=True)
class Limit:
    """A number of the rule base on which a result rests."""

    id: str
    title: str
    value: float
    unit: str
    sources: tuple[Reference, ...]


@dataclass(frozen=True, slots=True)
class Reference:
    """A source as it is shown: what it is, and how it reached us (``seen``; empty where nothing was published)."""

    id: str
    title: str
    clause: str
    seen: Seen | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """A calculation carried out."""

    calculation: Calculation
    inputs: tuple[Entered, ...]
    results: tuple[Result, ...]
    limits: tuple[Limit, ...]
    sources: tuple[Reference, ...]
    doubts: tuple[str, ...]


def calculate(calculation: Calculation, written: Mapping[str, Sequence[str]], rulebook: Rulebook) -> Outcome:
    """Carry out a calculation on inputs as they were written, each a list of texts by the input's name.

    InvalidInput with every input that is missing, no number, no word of its choice, or out of its range, or else
    with what cannot stand together; the range is named.
    """
    place = f"calc {calculation.id}"
    given, entered, problems = _read(calculation, written, rulebook.numbers, place)
    if problems:
        raise InvalidInput(problems)
    try:
        results = tuple(calculation.compute(given))
    except ValueError as refusal:
        raise InvalidInput([_problem(place, str(refusal))]) from None
    assumed = [one.parameter for one in entered if one.parameter and one.assumed]
    names = dict.fromkeys((*assumed, *_named(calculation.parameters, given)))
    limits = tuple(_limit(name, rulebook) for name in names)
    sources = tuple(_reference(cited, rulebook.sources) for cited in calculation.sources)
    return Outcome(calculation, tuple(entered), results, limits, sources, tuple(_doubts(entered)))


def to_data(outcome: Outcome) -> dict[str, Any]:
    """An outcome as plain data for JSON; numbers to six significant figures."""
    calculation = outcome.calculation
    return {
        "calculation": calculation.id,
        "title": calculation.title,
        "inputs": [
            _without_blanks(
                name=one.name,
                title=one.title,
                value=list(one.values) if len(one.values) != 1 else one.values[0],
                unit=one.unit,
                assumed=one.assumed,
            )
            for one in outcome.inputs
        ],
        "results": [
            _without_blanks(
                id=one.id,
                title=one.title,
                value=_rounded(one.value),
                lower=_rounded(one.lower),
                upper=_rounded(one.upper),
                unit=one.unit,
                note=one.note,
            )
            for one in outcome.results
        ],
        "equation": calculation.equation,
        "valid": calculation.valid,
        "limits": [
            _without_blanks(
                id=one.id, title=one.title, value=one.value, unit=one.unit, sources=[_cited(s) for s in one.sources]
            )
            for one in outcome.limits
        ],
        "sources": [_cited(one) for one in outcome.sources],
        "doubts": list(outcome.doubts),
        "caution": calculation.caution,
    }


def _read(
    calculation: Calculation, written: Mapping[str, Sequence[str]], parameters: Mapping[str, float], place: str
) -> tuple[Given, list[Entered], list[Problem]]:
    numbers: dict[str, tuple[float, ...]] = {}
    words: dict[str, tuple[str, ...]] = {}
    entered: list[Entered] = []
    problems: list[Problem] = []
    for one in calculation.inputs:
        texts, unit = written.get(one.name, ()), one.unit if isinstance(one, Amount) else ""
        parameter = one.parameter if isinstance(one, Amount) else None
        default = parameters[parameter] if parameter else one.default
        values: list[float | str] = []
        if not texts and default is not None:
            values = [default]
        elif not texts and one.required:
            allowed = one.allowed() if isinstance(one, Amount) else f"one of {', '.join(one.among(parameters))}"
            problems.append(Problem(place, None, one.name, "nothing", allowed, f"add --{one.name}"))
        for text in texts:
            try:
                values.append(_number(one, text) if isinstance(one, Amount) else _word(one, text, parameters))
            except InvalidInput as fault:
                problems += [
                    Problem(place, None, one.name, p.found, p.allowed, p.advice, p.nearest) for p in fault.problems
                ]
        if values:
            numbers[one.name] = tuple(value for value in values if isinstance(value, float))
            words[one.name] = tuple(value for value in values if isinstance(value, str))
            entered.append(Entered(one.name, one.title, tuple(values), unit, not texts, parameter))
    return Given(numbers, words, parameters), entered, problems


def _number(amount: Amount, text: str) -> float:
    text = text.strip()
    value = float(text.replace("−", "-")) if _NUMBER.fullmatch(text) else math.nan
    if amount.admits(value):
        return value
    advice = ""
    if _WITH_COMMA.fullmatch(text):
        advice = "write a decimal point, and no mark between thousands"
    elif amount.unit == "°C" and value > amount.greatest:
        advice = "is it in degrees Fahrenheit?"
    found = shown(text) if math.isnan(value) else text
    raise InvalidInput([Problem("", None, "", found, amount.allowed(), advice)])


def _word(choice: Choice, text: str, parameters: Mapping[str, float]) -> str:
    choices = choice.among(parameters)
    word = "-".join(text.lower().replace("_", " ").split())
    if word in choices:
        return word
    close = nearest(word[:80], choices)
    raise InvalidInput([Problem("", None, "", shown(text), f"one of {', '.join(choices)}", "", close)])


def _problem(place: str, message: str) -> Problem:
    match = _REFUSED.fullmatch(message)
    return Problem(place, None, match[1], match[2], match[3]) if match else Problem(place, None, "", message, "")


def _doubts(entered: Sequence[Entered]) -> list[str]:
    """Humidities that read like fractions: in range, and yet surely meant otherwise."""
    doubts = []
    for one in entered:
        for value in one.values:
            if one.unit == "%" and "humidity" in one.title and isinstance(value, float) and 0 < value <= 1:
                doubts.append(f"{one.title}: {value:g} % reads like a fraction; is {100 * value:g} % meant?")
    return doubts


def _named(parameters: Sequence[str], given: Given) -> Iterator[str]:
    words = {name: values[0] for name, values in given.words.items() if values}
    for parameter in parameters:
        with contextlib.suppress(KeyError):
            yield parameter.format_map(words)


def _limit(name: str, rulebook: Rulebook) -> Limit:
    record = rulebook.parameters[name]
    remembered = bool(record.note and "from memory" in record.note)
    cited = (Cited(c.source, c.clause or "", "from_memory" if remembered else None) for c in record.source)
    return Limit(
        name, record.title, record.value, record.unit, tuple(_reference(one, rulebook.sources) for one in cited)
    )


def _reference(cited: Cited, sources: Mapping[str, Source]) -> Reference:
    record = sources[cited.source]
    seen = (cited.seen or record.seen) if record.kind == "published" else None
    by = ", ".join(str(part) for part in (record.authors, record.title, record.year) if part)
    return Reference(cited.source, by, cited.clause, seen)


def _cited(reference: Reference) -> dict[str, Any]:
    return _without_blanks(id=reference.id, title=reference.title, clause=reference.clause, seen=reference.seen)


def _rounded(value: float | str | None) -> float | str | None:
    return float(f"{value:.6g}") if isinstance(value, float) else value


def _without_blanks(**fields: Any) -> dict[str, Any]:
    return {name: value for name, value in fields.items() if value is not None and value != ""}
