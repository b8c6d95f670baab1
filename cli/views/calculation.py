"""A single calculation in a terminal: results, then what went in, then what it rests on."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from engine.calculations.calculating import Entered, Limit, Outcome, Reference
from engine.calculations.models import Result

_SEEN = {"secondary": "at second hand", "from_memory": "from memory", "read": "read"}


def show_outcome(outcome: Outcome, console: Console) -> None:
    """Print a calculation with its inputs, results, range, equation and sources."""
    calculation = outcome.calculation
    console.print(Text(calculation.title, style="bold"))
    for result in outcome.results:
        _line(console, _result(result), strong=True)
    _section(console, "From", [_entered(one) for one in outcome.inputs])
    _section(console, "Doubts", list(outcome.doubts))
    _section(console, "Equation", [calculation.equation])
    _section(console, "Valid for", [calculation.valid])
    _section(console, "Numbers of the rule base", [_limit(limit) for limit in outcome.limits])
    _section(console, "Sources", [_reference(reference) for reference in outcome.sources])
    _section(console, "Mind", [calculation.caution] if calculation.caution else [])


def _section(console: Console, heading: str, lines: list[str]) -> None:
    if lines:
        console.print(Text(heading, style="bold underline"))
    for line in lines:
        _line(console, line)


def _line(console: Console, line: str, *, strong: bool = False) -> None:
    console.print(Padding(Text(line, style="bold" if strong else ""), (0, 0, 0, 2), expand=False))


def _result(result: Result) -> str:
    unit = f" {result.unit}" if result.unit else ""
    text = f"{result.title}: {_figure(result.value, result.decimals)}{unit}"
    if result.lower is not None and result.upper is not None:
        low, high = _figure(result.lower, result.decimals), _figure(result.upper, result.decimals)
        text += f" (band {low} to {high})"
    return f"{text} ({result.note})" if result.note else text


def _figure(value: float | str, decimals: int) -> str:
    if isinstance(value, str):
        return value
    figure = f"{value:.{decimals}f}"
    return figure.removeprefix("-") if float(figure) == 0 else figure


def _entered(one: Entered) -> str:
    values = ", ".join(value if isinstance(value, str) else f"{value:g}" for value in one.values)
    text = f"{one.title}: {values}{f' {one.unit}' if one.unit else ''}"
    if one.assumed:
        text += f" (taken from the rule base: {one.parameter})" if one.parameter else " (taken for lack of another)"
    return text


def _limit(limit: Limit) -> str:
    sources = "; ".join(_reference(reference) for reference in limit.sources)
    return f"{limit.title}: {limit.value:g} {limit.unit} ({limit.id}; {sources})"


def _reference(reference: Reference) -> str:
    text = f"{reference.title}, {reference.clause}" if reference.clause else reference.title
    return f"{text} [{_SEEN[reference.seen]}]" if reference.seen else text
