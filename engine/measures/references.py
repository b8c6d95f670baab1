"""Which visit a reading belongs to, and which dry reference it is compared with."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median

from engine.case.models import Area, Case, DryReference, Instrument, Visit


class Visits:
    """Which visit and instrument a reading belongs to."""

    def __init__(self, case: Case) -> None:
        ordered = sorted(case.visits, key=lambda visit: (visit.on, visit.id))
        self.by_id = {visit.id: visit for visit in ordered}
        self.day = {visit.id: visit.on.toordinal() for visit in ordered}

    def find(self, instrument: str, visit: str | None) -> tuple[Visit, Instrument] | None:
        """The visit and instrument of a reading; one that names no visit belongs to the last with that instrument."""
        visits = [self.by_id[visit]] if visit in self.by_id else [] if visit else list(self.by_id.values())
        for candidate in reversed(visits):
            for listed in candidate.instruments:
                if listed.id == instrument:
                    return candidate, listed
        return None


@dataclass(frozen=True, slots=True)
class Reference:
    """A dry reference on the instrument's own scale: the median of its presses, and the visit it was taken on."""

    value: float
    visit: str


class References:
    """Dry references of a case by instrument and material.

    Only the same instrument on the same material counts. The nearest place wins: the same visit before
    another, then the same surface, then the same area, then the rest of the dwelling. Several equally near
    ones are taken together, by the median of all their presses.
    """

    def __init__(self, case: Case, area: Area, visits: Visits, voided: frozenset[tuple[str, str]]) -> None:
        self._day = visits.day
        self._found: dict[tuple[str, str, str, str], Reference | None] = {}
        self._kept: dict[tuple[str, str], list[tuple[Instrument, str, bool, str, DryReference]]] = {}
        for place in case.areas:
            for surface in place.surfaces:
                for reference in surface.dry_references:
                    found = visits.find(reference.instrument, reference.visit)
                    if found is None or (found[0].id, found[1].id) in voided or not _usable(reference):
                        continue
                    self._kept.setdefault((reference.instrument, reference.material), []).append(
                        (found[1], found[0].id, place.id == area.id, surface.id, reference)
                    )

    def find(self, surface: str, visit: Visit, instrument: Instrument, material: str) -> Reference | None:
        """The reference for readings of one instrument on one material and surface; None where there is none."""
        wanted = surface, visit.id, instrument.id, material
        if wanted not in self._found:
            self._found[wanted] = self._nearest(surface, visit, instrument, material)
        return self._found[wanted]

    def _nearest(self, surface: str, visit: Visit, instrument: Instrument, material: str) -> Reference | None:
        ranked = [
            (
                (taken_on != visit.id, abs(self._day[taken_on] - self._day[visit.id]), not here, at != surface),
                taken_on,
                reference,
            )
            for used, taken_on, here, at, reference in self._kept.get((instrument.id, material), ())
            if (used.mode, used.scale, used.full_scale) == (instrument.mode, instrument.scale, instrument.full_scale)
        ]
        if not ranked:
            return None
        best = min(rank for rank, _, _ in ranked)
        nearest = [(taken_on, reference) for rank, taken_on, reference in ranked if rank == best]
        presses = [value for _, reference in nearest for value in (reference.value, *reference.repeats)]
        return Reference(median(presses), min(taken_on for taken_on, _ in nearest))


def _usable(reference: DryReference) -> bool:
    return all(math.isfinite(value) and value >= 0 for value in (reference.value, *reference.repeats))
