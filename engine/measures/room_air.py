"""Room air, outside air and surface temperatures as taken on visits: which belong together, and what is doubtful."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from engine.case.models import AirReading, Area, Case, SurfaceTemperature, Visit
from engine.measures.psychrometrics import dew_point_of_vapour_pressure, vapour_pressure
from engine.measures.references import Visits

Voided = frozenset[tuple[str, str]]
"""(visit, instrument) pairs whose readings do not count."""


@dataclass(frozen=True, slots=True)
class RoomAir:
    """Room air on one visit [°C], [%]: the longest mean over days, or the mean of the spot values."""

    visit: Visit
    temperature_c: float
    humidity_percent: float
    kind: str
    days: float | None = None


def visit_of(visits: Visits, visit: str | None, instrument: str | None = None) -> Visit:
    """The visit of something taken: the one named, else the last with its instrument, else the last of all."""
    if visit in visits.by_id:
        return visits.by_id[visit]
    found = visits.find(instrument, visit) if instrument else None
    return found[0] if found else list(visits.by_id.values())[-1]


class VisitClimate:
    """The air and surface temperatures of an area by visit, without the readings of voided instruments."""

    def __init__(self, case: Case, area: Area, voided: Voided) -> None:
        self._visits = Visits(case)
        self._air: dict[str, list[AirReading]] = {}
        self._surfaces: dict[str, list[SurfaceTemperature]] = {}
        for air in area.air:
            visit = visit_of(self._visits, air.visit, air.instrument)
            if (visit.id, air.instrument) not in voided:
                self._air.setdefault(visit.id, []).append(air)
        for surface in area.surface_temperatures:
            visit = visit_of(self._visits, surface.visit, surface.instrument)
            if (visit.id, surface.instrument) not in voided:
                self._surfaces.setdefault(visit.id, []).append(surface)

    def latest(self) -> Iterator[Visit]:
        """The visits, latest first."""
        return reversed(list(self._visits.by_id.values()))

    def spot(self, visit: Visit) -> RoomAir | None:
        """The mean of the spot values of a visit, by temperature and vapour pressure."""
        spots = sorted(
            (one.temperature_c, one.humidity_percent) for one in self._air.get(visit.id, ()) if one.kind == "spot"
        )
        if not spots:
            return None
        if len(set(spots)) == 1:
            return RoomAir(visit, *spots[0], "spot")
        celsius = sum(temperature for temperature, _ in spots) / len(spots)
        pressure = sum(vapour_pressure(*spot) for spot in spots) / len(spots)
        return RoomAir(visit, celsius, min(100.0, 100 * pressure / vapour_pressure(celsius, 100.0)), "spot")

    def mean(self, visit: Visit) -> RoomAir | None:
        """The longest mean over days that a visit brought."""
        means = [one for one in self._air.get(visit.id, ()) if one.kind == "mean"]
        if not means:
            return None
        one = max(means, key=lambda air: (air.days or 0.0, air.humidity_percent, air.temperature_c))
        return RoomAir(visit, one.temperature_c, one.humidity_percent, "mean", one.days)

    def room(self) -> RoomAir | None:
        """Room air of the latest visit with any: the longest mean before the spot values."""
        return next((air for visit in self.latest() if (air := self.mean(visit) or self.spot(visit))), None)

    def coldest(self, visit: Visit) -> SurfaceTemperature | None:
        """The lowest surface temperature of a visit."""
        return min(self._surfaces.get(visit.id, ()), key=_surface_order, default=None)

    def tolerance(self, surface: SurfaceTemperature, visit: Visit, otherwise: float) -> float:
        """Tolerance of a surface temperature [K]: its own, else its instrument's in °C, else the one given."""
        if surface.tolerance_k is not None:
            return surface.tolerance_k
        for instrument in visit.instruments:
            if instrument.id == surface.instrument and instrument.scale == "celsius":
                return otherwise if instrument.tolerance is None else instrument.tolerance
        return otherwise

    def doubts(self, parameters: Mapping[str, float]) -> Iterator[str]:
        """What cannot be, or is more likely a slip than a reading, each in words of its own."""
        warmest, driest = parameters["room-air-plausible-at-most"], parameters["room-humidity-plausible-at-least"]
        for visit in self._visits.by_id.values():
            for air in sorted(self._air.get(visit.id, ()), key=lambda one: (one.temperature_c, one.humidity_percent)):
                where = f"room air on {_day(visit.on)}"
                if air.temperature_c > warmest:
                    yield f"{where}: {air.temperature_c:g} °C is warmer than a room is likely to be; is it Fahrenheit?"
                if 0 < air.humidity_percent <= 1:
                    yield f"{where}: a humidity of {air.humidity_percent:g} % reads like a fraction; is percent meant?"
                elif air.humidity_percent < driest:
                    yield f"{where}: a humidity of {air.humidity_percent:g} % is drier than a room is likely to be"
            yield from self._surface_doubts(visit, parameters)

    def _surface_doubts(self, visit: Visit, parameters: Mapping[str, float]) -> Iterator[str]:
        air = self.spot(visit) or self.mean(visit)
        if air is None:
            return
        outside = visit.outside.temperature_c if visit.outside else None
        floor = min(air.temperature_c, air.temperature_c if outside is None else outside)
        slack = parameters["surface-below-outside-plausible-at-most"]
        for surface in sorted(self._surfaces.get(visit.id, ()), key=_surface_order):
            where = f"surface temperature on {_day(visit.on)}"
            above = surface.temperature_c - air.temperature_c
            if above > parameters["surface-above-room-plausible-at-most"]:
                yield (
                    f"{where}: {surface.temperature_c:g} °C is {above:.0f} K warmer than the room air; "
                    "was it taken on a heated or sunlit place, or in Fahrenheit?"
                )
            if outside is not None and surface.temperature_c < floor - slack:
                yield (
                    f"{where}: {surface.temperature_c:g} °C is colder than both the room and the outside air; "
                    "a bright or wet surface, or the sky, can give that"
                )


def dew_point_or_none(air: RoomAir) -> float | None:
    """Dew point of room air [°C]; None where it is too dry to have one in the range of the equation."""
    try:
        return dew_point_of_vapour_pressure(vapour_pressure(air.temperature_c, air.humidity_percent))
    except ValueError:
        return None


def _surface_order(surface: SurfaceTemperature) -> tuple[float, str]:
    return (surface.temperature_c, surface.place or "")


def _day(on: date) -> str:
    return on.isoformat()
