"""Days since the report, held against one dated pack of time limits. Nothing here decides whether there is a duty."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from engine.duties import STANDING, due_dates
from engine.errors import InvalidInput, Problem, nearest
from engine.reading import shown
from engine.rulebook import Rulebook
from engine.rulebook.legal import Duty


def chosen_pack(rulebook: Rulebook, name: str) -> Duty:
    """The pack of that id; InvalidInput with the packs that there are."""
    pack = rulebook.duties.get(name)
    if pack is None:
        known = tuple(rulebook.duties)
        allowed = f"the id of a pack: {', '.join(known) or 'there is none'}"
        advice = "without a pack there may be a duty all the same: take advice"
        found, close = f"the unknown pack {shown(name)}", nearest(name[:80], known)
        raise InvalidInput([Problem("--duties", None, "", found, allowed, advice, close)])
    return pack


class Days:
    """The days of each case against a pack; ``pack`` may be missing, then only days since the report are counted.

    ``warnings`` are those that belong beside the dates, of all cases together.
    """

    def __init__(self, rulebook: Rulebook, pack: Duty | None, today: date) -> None:
        self.pack, self.today = pack, today
        self.warnings: dict[str, int] = {}
        self._holidays = rulebook.bank_holidays.get(pack.bank_holidays) if pack else None

    def of(self, result: Mapping[str, Any]) -> dict[str, Any]:
        """Days since the report; with a pack the limits whose last day is past, and the limit that ends next.

        A limit that counts from the report is held against the end of the investigation where that is known, else
        against today; one that counts from that end against today. Whether anything was done by then is not known.
        """
        reported = _day(result.get("reported_on"))
        finished = _day(result.get("investigation_finished_on"))
        found: dict[str, Any] = {
            "today": self.today.isoformat(),
            "days_since_report": (self.today - reported).days if reported else None,
        }
        if self.pack is None:
            return found
        found |= {"pack": self.pack.id, "standing": STANDING, "past": [], "next": None}
        if reported is None:
            return found
        dates, warnings = due_dates(
            self.pack, self._holidays, aware_on=reported, finished_on=finished, today=self.today
        )
        for warning in warnings:
            self.warnings[warning] = self.warnings.get(warning, 0) + 1
        starts = {limit.id: limit.counted_from for limit in self.pack.limits}
        coming = []
        for one in dates:
            if one.due is None:
                continue
            said = {"limit": one.limit, "title": one.title, "due": one.due.isoformat()}
            until = finished if finished and starts[one.limit] == "aware" else self.today
            if one.due < until:
                found["past"].append(said)
            elif until == self.today:
                coming.append(said)
        found["next"] = min(coming, key=lambda said: said["due"], default=None)
        return found


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
