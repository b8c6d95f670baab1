"""All figures of an area, in the order in which a reader wants them."""

from __future__ import annotations

from pathlib import Path

from engine.case.models import Case
from engine.opinion.models import Opinion
from engine.reporting.figures.models import Figure
from engine.rulebook import Rulebook


def figures_of(
    case: Case, area_id: str, opinion: Opinion, rulebook: Rulebook, folder: Path | None = None
) -> tuple[Figure, ...]:
    """The figures of one area, only those that have data: maps, profiles, samples, climate, change, evidence.

    ``folder`` is the case's own, in which its loggers' files lie; KeyError for an area that there is not.
    """
    raise NotImplementedError(area_id)
