"""What a caseload comes to: counts by leading cause, what is determined, repeats at one address, days that are past."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from engine.sweeping.working import WEIGHED

MOST_REPEATS = 1_000
"""Dwellings that are named as coming more than once; more are counted only."""
_NOT_WORDS = re.compile(r"[^\w]+", re.UNICODE)


def same_address(address: str) -> str:
    """An address as it is compared: its words and numbers in small letters, without punctuation and accents.

    Abbreviations are not written out: `High St` and `High Street` stay two addresses.
    """
    plain = unicodedata.normalize("NFKD", address).casefold()
    kept = "".join(one for one in plain if not unicodedata.combining(one))
    return _NOT_WORDS.sub(" ", kept).strip()


@dataclass(slots=True)
class Summary:
    """The counts so far; `add` takes one result after the other, and nothing of a result is held but counts.

    Of every dwelling a short digest is held, to tell repeats: its address as `same_address` has it, or without an
    address the id of the case.
    """

    cases: int = 0
    faults: int = 0
    known_before: int = 0
    areas: int = 0
    determined: int = 0
    by_cause: Counter[str] = field(default_factory=Counter)
    titles: dict[str, str] = field(default_factory=dict)
    timber: Counter[str] = field(default_factory=Counter)
    cautions: Counter[str] = field(default_factory=Counter)
    past: Counter[str] = field(default_factory=Counter)
    cases_past: int = 0
    undated: int = 0
    repeats: dict[int, str] = field(default_factory=dict)
    repeats_unnamed: int = 0
    _dwellings: dict[int, int] = field(default_factory=dict)

    def add(self, result: Mapping[str, Any], *, known: bool) -> None:
        """Count one result with its dates."""
        self.cases += 1
        self.known_before += known
        if result["state"] != WEIGHED:
            self.faults += 1
            return
        for area in result["areas"]:
            self.areas += 1
            self.determined += area["determined"]
            for cause in area["leading"]:
                self.by_cause[cause["id"]] += 1
                self.titles[cause["id"]] = cause["title"]
            self.timber[area["timber"]] += 1
            self.cautions.update(caution["title"] for caution in area["cautions"])
        dates = result["dates"]
        self.undated += dates["days_since_report"] is None
        self.past.update(one["title"] for one in dates.get("past", ()))
        self.cases_past += bool(dates.get("past"))
        self._dwelling(result)

    def data(self) -> dict[str, Any]:
        """The summary as plain data, most frequent first."""
        return {
            "cases": self.cases,
            "weighed": self.cases - self.faults,
            "faults": self.faults,
            "known_before": self.known_before,
            "areas": self.areas,
            "determined": self.determined,
            "not_determined": self.areas - self.determined,
            "leading": [
                {"cause": cause, "title": self.titles[cause], "areas": count} for cause, count in _ranked(self.by_cause)
            ],
            "timber": [{"state": state, "areas": count} for state, count in _ranked(self.timber)],
            "cautions": [{"title": title, "areas": count} for title, count in _ranked(self.cautions)],
            "repeats": [
                {"dwelling": name, "cases": self._dwellings[mark]}
                for mark, name in sorted(self.repeats.items(), key=lambda one: (-self._dwellings[one[0]], one[1]))
            ],
            "repeats_unnamed": self.repeats_unnamed,
            "without_day_of_report": self.undated,
            "cases_past_a_last_day": self.cases_past,
            "past_the_last_day_of": [{"limit": title, "cases": count} for title, count in _ranked(self.past)],
        }

    def _dwelling(self, result: Mapping[str, Any]) -> None:
        address = result["dwelling"]["address"]
        told = same_address(address) if address else ""
        name = f"address {told}" if told else f"case {result['case']['id']}"
        mark = int.from_bytes(hashlib.sha256(name.encode("utf-8")).digest()[:8], "big")
        seen = self._dwellings[mark] = self._dwellings.get(mark, 0) + 1
        if seen == 2:
            if len(self.repeats) < MOST_REPEATS:
                self.repeats[mark] = address if told else result["case"]["id"]
            else:
                self.repeats_unnamed += 1


def _ranked(counts: Counter[str]) -> list[tuple[str, int]]:
    return sorted(counts.items(), key=lambda one: (-one[1], one[0]))
