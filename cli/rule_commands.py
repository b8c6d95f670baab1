"""The commands under `dampwright rules`. Each one imports what it needs when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cli.exits import guarded
from cli.options import Json, Plain, RuleFolders, RulesArchive

rules_app = typer.Typer(
    help="Check, show, draw and compare the rule base.", no_args_is_help=True, rich_markup_mode=None
)

Topic = Annotated[str | None, typer.Option("--topic", help="Only what belongs to this topic.")]


@rules_app.command("check")
@guarded
def rules_check(
    casebook: Annotated[bool, typer.Option("--casebook", help="List the rules that no worked case fires.")] = False,
    rules: RuleFolders = None,
) -> None:
    """Check the rule base: references, words, strata, examples, chaining limits.

    Example: dampwright rules check
    """
    from cli.rules import check

    check(rules, casebook=casebook)


@rules_app.command("show")
@guarded
def rules_show(
    name: Annotated[str, typer.Argument(help="The id of a record of any kind.", metavar="ID")],
    as_json: Json = False,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """Show everything about a record: what it says, where it is written, who refers to it.

    Example: dampwright rules show tide-line
    """
    from cli.rules import show

    show(name, rules, as_json=as_json, plain=plain)


@rules_app.command("list")
@guarded
def rules_list(
    kind: Annotated[str | None, typer.Argument(help="A kind of record, such as findings; without it, all.")] = None,
    topic: Topic = None,
    as_json: Json = False,
    plain: Plain = False,
    rules: RuleFolders = None,
) -> None:
    """List ids and titles.

    Example: dampwright rules list findings --topic salts
    """
    from cli.rules import list_records

    list_records(kind, topic, rules, as_json=as_json, plain=plain)


@rules_app.command("draw")
@guarded
def rules_draw(
    output: Annotated[Path, typer.Option("-o", "--output", help="The file to write: .svg or .mmd (Mermaid text).")],
    topic: Topic = None,
    cause: Annotated[str | None, typer.Option("--cause", help="Only what bears on this cause.")] = None,
    steps: Annotated[bool, typer.Option("--steps", help="Draw steps too.")] = False,
    least: Annotated[
        float | None, typer.Option("--least", min=0, help="Leave out links of findings weaker than this [dB].")
    ] = None,
    rules: RuleFolders = None,
) -> None:
    """Draw a map: causes and findings of the whole base; of a topic or a cause the rules too.

    Example: dampwright rules draw --topic salts -o salts.svg
    """
    from cli.rules import draw

    draw(output, rules, topic=topic, cause=cause, steps=steps, least=least)


@rules_app.command("diff")
@guarded
def rules_diff(
    old: Annotated[Path, typer.Argument(help="The folder of the rule base as it was.", metavar="OLD")],
    new: Annotated[Path, typer.Argument(help="The folder of the rule base as it is.", metavar="NEW")],
    cases: Annotated[
        list[Path] | None, typer.Option("--cases", help="A folder of case files; may repeat. Without it, the casebook.")
    ] = None,
    as_json: Json = False,
    plain: Plain = False,
) -> None:
    """Compare two rule bases: records that differ, and every result that moves. Ends with 1 when one does.

    Example: dampwright rules diff earlier/rulesets rulesets
    """
    from cli.rules import diff

    diff(old, new, cases, as_json=as_json, plain=plain)


@rules_app.command("keep")
@guarded
def rules_keep(rules: RuleFolders = None, archive: RulesArchive = None) -> None:
    """Keep the rule base by its digest, so that cases can be replayed with it when it has changed.

    Example: dampwright rules keep
    """
    from cli.pinning import keep

    keep(rules, archive)


@rules_app.command("kept")
@guarded
def rules_kept(archive: RulesArchive = None) -> None:
    """List the rule bases that are kept.

    Example: dampwright rules kept
    """
    from cli.pinning import list_kept

    list_kept(archive)
