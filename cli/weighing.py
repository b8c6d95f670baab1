"""`weigh` and `demo`: a case in, an opinion out."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from cli.exits import NOT_DETERMINED
from cli.inputs import open_case, open_rulebook

DEMONSTRATION = "raised-path.yaml"


def demonstration() -> Path:
    """The demonstration case that ships with the program."""
    return Path(__file__).resolve().parent.parent / "casebook" / "demo" / DEMONSTRATION


def run(
    path: Path,
    *,
    as_json: bool,
    strict: bool,
    exact: bool,
    full: bool,
    plain: bool,
    rules: Sequence[Path] | None,
    chainer: str,
    replay: tuple[str, Path | None] | None = None,
) -> None:
    """Weigh a case and print the opinion; exits with 4 under ``strict`` when an area is not determined.

    ``replay`` takes the rule base of a digest (empty for the one that the case names) from an archive.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from engine.opinion import to_json, weigh

    if replay is None:
        rulebook = open_rulebook(rules)
    else:
        from cli.pinning import pinned_rulebook

        rulebook = pinned_rulebook(path, rules, *replay)
    case = open_case(path, rulebook)
    opinion = weigh(case, rulebook, folder=path.parent, backend=chainer, exact=exact)
    if as_json:
        sys.stdout.write(to_json(opinion))
    else:
        from cli.views.console import results
        from cli.views.opinion import show_opinion
        from engine.reporting.figures import walls_of

        walls = {area.id: walls_of(case, area.id, opinion, rulebook) for area in opinion.areas}
        show_opinion(opinion, results(plain=plain), full=full, walls=walls)
    if strict and not all(area.determined for area in opinion.areas):
        sys.exit(NOT_DETERMINED)
