"""The commands of dampwright. Each one imports what it needs when it runs, so that help stays quick."""

from __future__ import annotations

import gc
from datetime import datetime
from pathlib import Path
from typing import Annotated, Literal

import typer

from cli.calculations import CalculationGroup
from cli.case_commands import case_app
from cli.exits import exit_codes, guarded
from cli.inventing import invent
from cli.options import Json, Plain, RuleFolders, RulesArchive
from cli.practise_commands import practise
from cli.report_commands import report
from cli.rule_commands import rules_app
from cli.sweep_commands import sweep

app = typer.Typer(
    name="dampwright",
    help="Weigh what is wetting a wall, or fooling the meter. Decision support: the inspector concludes and signs.",
    add_completion=True,
    no_args_is_help=False,
    invoke_without_command=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
calc_app = typer.Typer(
    help="Single calculations, each with its range, equation and sources.",
    cls=CalculationGroup,
    no_args_is_help=True,
    rich_markup_mode=None,
)
app.add_typer(case_app, name="case")
app.add_typer(calc_app, name="calc")
app.add_typer(rules_app, name="rules")
app.command()(sweep)
case_app.command()(invent)
app.command()(practise)
app.command()(report)

CaseFile = Annotated[
    Path, typer.Argument(help="A case file (.yaml, .json) or a filled-in workbook (.xlsx).", metavar="CASE")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the opinion as JSON.")]
Strict = Annotated[bool, typer.Option("--strict", help="End with code 4 when any area is not determined.")]
Exact = Annotated[bool, typer.Option("--exact", help="Enumerate every set of causes.")]
Full = Annotated[bool, typer.Option("--full", help="Show every cause, reason and rule that fired.")]
Chainer = Annotated[
    Literal["auto", "durable", "python"], typer.Option("--chainer", help="What chains the rules; the answers agree.")
]


@app.callback()
def root(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version and what chains the rules.")] = False,
) -> None:
    """Greet, or print the version."""
    from cli.views import greeting

    if version:
        greeting.print_version()
        raise typer.Exit
    if context.invoked_subcommand is None:
        greeting.print_greeting()


@app.command()
@guarded
def weigh(
    case: CaseFile,
    as_json: AsJson = False,
    strict: Strict = False,
    exact: Exact = False,
    full: Full = False,
    plain: Plain = False,
    rules: RuleFolders = None,
    chainer: Chainer = "auto",
    pinned: Annotated[bool, typer.Option("--pinned", help="Replay it with the rule base that the case names.")] = False,
    pinned_to: Annotated[
        str | None, typer.Option("--pinned-to", metavar="DIGEST", help="Replay it with the rule base of this digest.")
    ] = None,
    archive: RulesArchive = None,
) -> None:
    """Give an opinion on a case file.

    Example: dampwright weigh visit.yaml
    """
    from cli.weighing import run

    replay = (pinned_to or "", archive) if pinned or pinned_to else None
    run(
        case,
        as_json=as_json,
        strict=strict,
        exact=exact,
        full=full,
        plain=plain,
        rules=rules,
        chainer=chainer,
        replay=replay,
    )


@app.command()
@guarded
def demo(
    as_json: AsJson = False,
    full: Full = False,
    plain: Plain = False,
    rules: RuleFolders = None,
    chainer: Chainer = "auto",
) -> None:
    """Give an opinion on the demonstration case (an invented house).

    Example: dampwright demo
    """
    from cli.weighing import demonstration, run

    run(
        demonstration(),
        as_json=as_json,
        strict=False,
        exact=False,
        full=full,
        plain=plain,
        rules=rules,
        chainer=chainer,
    )


@app.command()
@guarded
def challenge(
    case: CaseFile,
    area: Annotated[str | None, typer.Argument(help="The area; may be left out if it is the only one.")] = None,
    held: Annotated[
        list[str] | None,
        typer.Option(
            "--held", help="The causes held, with commas between; or no-active-damp. Else what the case holds."
        ),
    ] = None,
    grounds: Annotated[
        list[str] | None, typer.Option("--grounds", help="Findings, questions and measures that a report rests on.")
    ] = None,
    blind: Annotated[
        bool, typer.Option("--blind", help="Record your own conclusion in the case before anything is shown.")
    ] = False,
    sureness: Annotated[
        Literal["certain", "fairly-sure", "not-sure"] | None, typer.Option(help="With --blind: how sure you are.")
    ] = None,
    again: Annotated[bool, typer.Option("--again", help="With --blind: replace a recorded conclusion.")] = False,
    as_json: Json = False,
    plain: Plain = False,
    rules: RuleFolders = None,
    chainer: Chainer = "auto",
) -> None:
    """Hold a stated conclusion, one's own or another's, against the evidence of a case.

    Example: dampwright challenge visit.yaml back-room --held ground-rise --grounds pins-high,base-band
    """
    from cli.challenging import run

    run(
        case,
        area,
        held=held or (),
        grounds=grounds or (),
        blind=blind,
        sureness=sureness,
        again=again,
        as_json=as_json,
        plain=plain,
        rules=rules,
        chainer=chainer,
    )


@app.command()
@guarded
def explain(
    case: CaseFile,
    area: Annotated[str | None, typer.Argument(help="The area; without it, every area.", metavar="AREA")] = None,
    cause: Annotated[str | None, typer.Argument(help="The cause; without it, what leads.", metavar="CAUSE")] = None,
    why_not: Annotated[str | None, typer.Option("--why-not", help="Why this cause is not believed more.")] = None,
    rather: Annotated[
        tuple[str, str] | None, typer.Option("--rather", help="Why the first cause rather than the second.")
    ] = None,
    suppose: Annotated[
        list[str] | None, typer.Option("--if", help="Suppose attribute=value, side by side; may repeat.")
    ] = None,
    change: Annotated[bool, typer.Option("--change", help="What answers would change the opinion.")] = False,
    seed: Annotated[int, typer.Option(min=0, help="The seed of the shaking that steadiness rests on.")] = 0,
    as_json: Json = False,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """Explain an opinion: why, how sure, why not, what if, what would change it, what does not fit.

    Example: dampwright explain visit.yaml --why-not ground-rise
    """
    from cli.explaining import run

    run(
        case,
        area,
        cause,
        why_not=why_not,
        rather=rather,
        suppose=suppose or (),
        change=change,
        seed=seed,
        as_json=as_json,
        plain=plain,
        rules=rules,
    )


@app.command()
@guarded
def ask(
    case: Annotated[
        Path, typer.Argument(help="A case file to go on with, or the name of a new one.", metavar="[CASE]")
    ] = Path("case.yaml"),
    area: Annotated[str | None, typer.Option("--area", help="The damp place to begin with.")] = None,
    visit: Annotated[str | None, typer.Option("--visit", help="The visit of the answers; else the last.")] = None,
    topic: Annotated[str | None, typer.Option("--topic", help="The topic to begin with.")] = None,
    quick: Annotated[bool, typer.Option("--quick", help="Only what tells much for little effort.")] = False,
    site_list: Annotated[
        bool, typer.Option("--site-list", help="Ask nothing; print what to bring, look at and press on the next visit.")
    ] = False,
    no_input: Annotated[bool, typer.Option("--no-input", help="Ask nothing; fail and list what is missing.")] = False,
    author: Annotated[str | None, typer.Option("--author", help="Who answers, for the journal.")] = None,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """Be asked the fewest, best questions about a case; every answer is saved before the next.

    Example: dampwright ask visit.yaml
    """
    from cli.ask import Wanted, run

    run(Wanted(case, area, visit, topic, quick, site_list, no_input, author, plain, rules))


@app.command()
@guarded
def duties(
    aware: Annotated[datetime, typer.Option(formats=["%Y-%m-%d"], help="The day on which the landlord became aware.")],
    finished: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="The day on which the investigation finished.")
    ] = None,
    jurisdiction: Annotated[str | None, typer.Option(help="england, scotland or wales; without it, all.")] = None,
    as_json: Json = False,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """Print by when possible legal duties on damp and mould would fall due. Take advice: it decides nothing.

    Example: dampwright duties --jurisdiction england --aware 2026-11-02
    """
    from cli.duties import run

    finished_on = finished.date() if finished else None
    run(jurisdiction, aware.date(), finished_on, as_json=as_json, plain=plain, rules=rules)


@case_app.command("check")
@guarded
def case_check(case: CaseFile, rules: RuleFolders = None) -> None:
    """Check a case file and list every fault in it.

    Example: dampwright case check visit.yaml
    """
    from cli.cases import check

    check(case, rules)


@case_app.command("schema")
@guarded
def case_schema(rules: RuleFolders = None) -> None:
    """Print the JSON Schema of the case format, with the rule base's vocabulary.

    Example: dampwright case schema > case.schema.json
    """
    from cli.cases import schema

    schema(rules)


@case_app.command("make")
@guarded
def case_make(
    output: Annotated[
        Path, typer.Option("-o", "--output", help="Where to write (.yaml, .json or .xlsx); '-' prints it.")
    ] = Path("-"),
    source: Annotated[
        Path | None, typer.Option("--from", help="A case file or filled-in workbook to write again in that kind.")
    ] = None,
    desk_facts: Annotated[
        Path | None,
        typer.Option("--desk-facts", help="Print the list for a visit from what this case knows without one."),
    ] = None,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """Write a commented starting file, or a workbook form, to fill in; or the list for a first visit.

    Example: dampwright case make -o visit.xlsx
    """
    from cli.cases import make, prepare

    if desk_facts is not None:
        prepare(desk_facts, rules, plain=plain)
    else:
        make(output, rules, source)


@case_app.command("readings")
@guarded
def case_readings(
    case: CaseFile,
    table: Annotated[Path, typer.Argument(help="The readings (.csv, .tsv, .txt or .xlsx).", metavar="FILE")],
    area: Annotated[str | None, typer.Option("--area", help="The area; may be left out if it is the only one.")] = None,
    surface: Annotated[str | None, typer.Option("--surface", help="The surface of the area; likewise.")] = None,
    visit: Annotated[str | None, typer.Option("--visit", help="The visit of the readings; likewise.")] = None,
    sheet: Annotated[str | None, typer.Option("--sheet", help="The sheet of a workbook; likewise.")] = None,
    ignore: Annotated[list[str] | None, typer.Option("--ignore", help="A column to leave out; may repeat.")] = None,
    output: Annotated[Path | None, typer.Option("-o", "--output", help="A new case file; '-' prints it.")] = None,
    in_place: Annotated[bool, typer.Option("--in-place", help="Add the readings to the case file itself.")] = False,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show what would be added; write nothing.")] = False,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """Import meter readings from a table into a case: all of them, or none and every fault.

    Columns: x_mm, y_mm (or height_mm), instrument (or mode), value; and scale, material, depth_mm, repeats, note.

    Example: dampwright case readings visit.yaml wall.csv --area back-room --surface garden-wall -o new.yaml
    """
    from cli.readings import bring_in

    bring_in(
        case,
        table,
        area=area,
        surface=surface,
        visit=visit,
        sheet=sheet,
        ignored=ignore or (),
        output=output,
        in_place=in_place,
        dry_run=dry_run,
        plain=plain,
        folders=rules,
    )


@case_app.command("diff")
@guarded
def case_diff(
    first: Annotated[Path, typer.Argument(help="One inspector's case file.", metavar="A")],
    second: Annotated[Path, typer.Argument(help="Another inspector's file on the same house.", metavar="B")],
    as_json: Json = False,
    plain: Plain = False,
    rules: RuleFolders = None,
    chainer: Chainer = "auto",
) -> None:
    """Show where two inspectors' files on one house differ, and which differences matter to the opinion.

    Example: dampwright case diff mine.yaml theirs.yaml
    """
    from cli.case_diff import run

    run(first, second, as_json=as_json, plain=plain, rules=rules, chainer=chainer)


def main() -> None:
    """Run the program; every outcome has its exit code (see cli.exits).

    Starting makes very many things that stay and no garbage: the collector rests until the rule base is open.
    """
    gc.disable()
    with exit_codes():
        app()
