"""`calc`: one command for each entry of the engine's table of calculations, made from it when first asked for."""

from __future__ import annotations

import inspect
import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperGroup

from cli.exits import guarded

if TYPE_CHECKING:
    from engine.calculations import Calculation
    from engine.calculations.models import Input

_AS_JSON = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]
_PLAIN = Annotated[bool, typer.Option("--plain", help="No colour, one column, nothing redrawn.")]
_RULES = Annotated[
    list[Path] | None,
    typer.Option("--rules", help="A folder of your own records that adds to or overrides the rule base; may repeat."),
]
_COMMON = {"as_json": (_AS_JSON, False), "plain": (_PLAIN, False), "rules": (_RULES, None)}


class CalculationGroup(TyperGroup):
    """The group `calc`; the table is read, and its commands are made, only when one of them is wanted."""

    def list_commands(self, ctx: Any) -> list[str]:
        """The names of all commands: `list`, then the calculations in the order of the table."""
        self._fill()
        return super().list_commands(ctx)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command of a name."""
        self._fill()
        return super().get_command(ctx, cmd_name)

    def _fill(self) -> None:
        if not self.commands:
            self.commands.update(_commands())


def _commands() -> dict[str, Any]:
    from engine.calculations import CALCULATIONS

    commands = typer.Typer(rich_markup_mode=None)
    commands.command("list")(guarded(listing))
    for calculation in CALCULATIONS.values():
        text = f"{calculation.title}.\n\nExample: dampwright calc {calculation.id} {calculation.example}"
        commands.command(calculation.id, help=text)(guarded(_command(calculation)))
    return dict(typer.main.get_group(commands).commands)


def listing(as_json: _AS_JSON = False) -> None:
    """List the calculations, one line each.

    Example: dampwright calc list
    """
    from engine.calculations import CALCULATIONS

    if as_json:
        entries = [{"id": one.id, "title": one.title, "example": one.example} for one in CALCULATIONS.values()]
        print(json.dumps(entries, ensure_ascii=False, indent=2))
        return
    width = max(map(len, CALCULATIONS))
    for one in CALCULATIONS.values():
        print(f"{one.id:<{width}}  {one.title}")


def _command(calculation: Calculation) -> Callable[..., None]:
    names = {_identifier(one.name): one.name for one in calculation.inputs}

    def run(*, as_json: bool, plain: bool, rules: Sequence[Path] | None, **given: str | list[str] | None) -> None:
        written = {names[key]: [text] if isinstance(text, str) else list(text or ()) for key, text in given.items()}
        carry_out(calculation, written, as_json=as_json, plain=plain, rules=rules)

    kinds: dict[str, Any] = {_identifier(one.name): (_option(one), None) for one in calculation.inputs}
    kinds |= _COMMON
    by_name = inspect.Parameter.KEYWORD_ONLY
    run.__signature__ = inspect.Signature(  # type: ignore[attr-defined]  # typer reads a command's options off it
        [
            inspect.Parameter(name, by_name, default=default, annotation=annotation)
            for name, (annotation, default) in kinds.items()
        ]
    )
    run.__annotations__ = {name: annotation for name, (annotation, _) in kinds.items()}
    return run


def carry_out(
    calculation: Calculation,
    written: dict[str, list[str]],
    *,
    as_json: bool,
    plain: bool,
    rules: Sequence[Path] | None,
) -> None:
    """Carry out a calculation and print it; InvalidInput lists what was missing or out of range."""
    from cli.inputs import open_rulebook
    from engine.calculations.calculating import calculate, to_data

    outcome = calculate(calculation, written, open_rulebook(rules))
    if as_json:
        print(json.dumps(to_data(outcome), ensure_ascii=False, indent=2))
        return
    from cli.views.calculation import show_outcome
    from cli.views.console import results

    show_outcome(outcome, results(plain=plain))


def _identifier(name: str) -> str:
    return f"input_{name.replace('-', '_')}"


def _option(one: Input) -> Any:
    from engine.calculations.models import Amount

    if isinstance(one, Amount):
        metavar, said = (one.unit or "NUMBER"), f"{one.title}, {one.allowed()}"
        default = f"{one.default:g}" if one.default is not None else one.parameter and f"{one.parameter} of the rules"
    else:
        metavar, default = "WORD", one.default
        said = f"{one.title}: {', '.join(one.choices)}" if one.choices else one.title
    said += "; may repeat" if one.many else ""
    said += "; needed" if one.required else f"; default {default}" if default else "; may be left out"
    option = typer.Option(f"--{one.name}", help=f"{said[0].upper()}{said[1:]}.", metavar=metavar, show_default=False)
    return Annotated[list[str] | None, option] if one.many else Annotated[str | None, option]
