"""`case diff`: two inspectors' files on one house, and which of their differences matter to the opinion."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from cli.inputs import open_case, open_rulebook


def run(first: Path, second: Path, *, as_json: bool, plain: bool, rules: Sequence[Path] | None, chainer: str) -> None:
    """Compare two case files and print what differs; InvalidInput lists the faults of both files."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from engine.challenging.differing import differ
    from engine.errors import InvalidInput, Problem
    from engine.opinion.reasoner import Reasoner

    rulebook = open_rulebook(rules)
    faults: list[Problem] = []
    cases = []
    for path in (first, second):
        try:
            cases.append(open_case(path, rulebook))
        except InvalidInput as fault:
            faults += fault.problems
    if faults:
        raise InvalidInput(faults)
    comparison = differ(Reasoner(rulebook, chainer), cases[0], cases[1], (first.parent, second.parent))
    if as_json:
        from engine.opinion import to_json

        sys.stdout.write(to_json(comparison))
        return
    from cli.views.case_diff import show_comparison
    from cli.views.console import results

    show_comparison(comparison, (str(first), str(second)), results(plain=plain))
