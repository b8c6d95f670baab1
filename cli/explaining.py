"""`explain`: an opinion's own account of itself, printed or as JSON."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cli.inputs import open_case, open_rulebook

if TYPE_CHECKING:
    from engine.case.models import Area, Case


def run(
    path: Path,
    area: str | None,
    cause: str | None,
    *,
    why_not: str | None,
    rather: tuple[str, str] | None,
    suppose: Sequence[str],
    change: bool,
    seed: int,
    as_json: bool,
    plain: bool,
    rules: Sequence[Path] | None,
) -> None:
    """Explain the areas of a case, or one of them; the many re-runs are chained by the quicker Python evaluator."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from engine.case import case_digest
    from engine.explaining.explaining import Asked, Explanation, explain
    from engine.explaining.subject import known_name, subject_of
    from engine.explaining.what_if import parse_changes
    from engine.opinion.models import Stamp
    from engine.opinion.reasoner import Reasoner
    from engine.version import VERSION

    rulebook = open_rulebook(rules)
    case = open_case(path, rulebook)
    if area is not None and cause is None and area in rulebook.causes and area not in {a.id for a in case.areas}:
        area, cause = None, area
    for name, option in ((cause, "CAUSE"), (why_not, "--why-not"), *((one, "--rather") for one in rather or ())):
        if name is not None:
            known_name(name, rulebook.causes, "cause", option)
    asked = Asked(cause, why_not, rather, parse_changes(rulebook, suppose), change, seed)
    reasoner = Reasoner(rulebook, "python")
    explained = Explanation(
        case=Stamp(case_digest(case), case.title),
        rulebook=Stamp(rulebook.digest, "rule base"),
        version=VERSION,
        areas=tuple(explain(subject_of(reasoner, case, one, path.parent), asked) for one in _areas(case, area)),
    )
    if as_json:
        from engine.opinion import to_json

        sys.stdout.write(to_json(explained))
    else:
        from cli.views.console import results
        from cli.views.explanation import show_explanation

        show_explanation(explained, results(plain=plain))


def _areas(case: Case, area: str | None) -> tuple[Area, ...]:
    from engine.explaining.subject import known_name

    areas = {one.id: one for one in sorted(case.areas, key=lambda one: one.id)}
    if area is None:
        return tuple(areas.values())
    return (areas[known_name(area, areas, "area", "AREA")],)
