"""Room air, outside air and the coldest surface of a made-up case, as physics allows them together.

Airs are drawn within their ranges, and kept when the surface carries the film that the case's causes put there, or
none where they put none. Of those that could be, the one is taken whose findings, by the rules, are most as drawn.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from engine.case.models import AirReading, Outside, SurfaceTemperature
from engine.measures.psychrometrics import saturation_vapour_pressure, vapour_pressure
from engine.synthesis.air import DAMPEST_AIR, DAMPEST_PLAIN, DRYEST_AIR
from engine.synthesis.fields import SURFACE
from engine.synthesis.ranges import Draw
from engine.synthesis.walls import VISIT

ALL_OVER, IN_THE_CORNER = "surface-condensation", "cold-corner"
"""The fields that are films of condensation."""

CLEAR_OF_FILM = 89.0
"""Humidity [%] at the coldest surface up to which a wall without a film of condensation is let stand."""

WINTER = ((2025, 12), (2026, 1), (2026, 2), (2026, 3))
LOGGED_DAYS = (14, 21, 28)


@dataclass(frozen=True, slots=True)
class Climate:
    """One moment of air and surfaces [°C], [%], and the room's mean over the days before, if it was recorded."""

    room_c: float
    room_percent: float
    outside_c: float
    outside_percent: float
    plain_c: float
    coldest_c: float
    factor: float
    drop: float
    mean_days: float | None

    def outside(self) -> Outside:
        """The outside air as a visit holds it."""
        return Outside(temperature_c=self.outside_c, humidity_percent=self.outside_percent)

    def air(self) -> tuple[AirReading, ...]:
        """Room air as a case holds it: read on the visit, and the mean before it."""
        spot = AirReading(temperature_c=self.room_c, humidity_percent=self.room_percent, instrument="air", visit=VISIT)
        if self.mean_days is None:
            return (spot,)
        mean = AirReading(
            temperature_c=self.room_c,
            humidity_percent=self.room_percent,
            kind="mean",
            days=self.mean_days,
            instrument="air",
            visit=VISIT,
            place="recorder on a shelf",
        )
        return (spot, mean)

    def surfaces(self) -> tuple[SurfaceTemperature, ...]:
        """The coldest place of the wall, and the plain wall where that is another."""
        places = {"coldest place of the wall": self.coldest_c, "plain wall": self.plain_c}
        return tuple(
            SurfaceTemperature(
                temperature_c=celsius,
                surface=SURFACE,
                tolerance_k=0.5,
                instrument="contact",
                visit=VISIT,
                place=place,
            )
            for place, celsius in places.items()
        )

    def fixed(self) -> dict[str, float]:
        """What a film of condensation on the wall takes from this air, by the names of its draws."""
        found = {f"{IN_THE_CORNER}.corner-drop": self.drop}
        for owner in (ALL_OVER, IN_THE_CORNER):
            found |= {
                f"{owner}.room-temperature": self.room_c,
                f"{owner}.room-humidity": self.room_percent,
                f"{owner}.outside-temperature": self.outside_c,
                f"{owner}.surface-factor": self.factor,
            }
        return found


def draw_day(random: np.random.Generator) -> date:
    """A day of the heating season, in which climates can be told apart."""
    year, month = WINTER[int(random.integers(len(WINTER)))]
    return date(year, month, int(random.integers(1, 29)))


def climates(draw: Draw, fields: frozenset[str], mean_recorded: bool) -> Iterator[Climate]:
    """Endless climates in which the wall carries just the films among the fields."""
    mean_days = float(draw.random.choice(LOGGED_DAYS)) if mean_recorded else None
    while True:
        room, outside = round(draw("room-temperature", "air"), 1), round(draw("outside-temperature", "air"), 1)
        outside_percent = float(round(draw("outside-humidity", "air")))
        factor = draw("dwelling-factor", "air")
        film, corner = ALL_OVER in fields, IN_THE_CORNER in fields
        drop = draw("corner-drop", "air") if corner else draw("any-corner-drop", "air")
        if film:
            at_film = draw("plain-humidity", "air")
        elif corner:
            at_film = draw("corner-humidity", "air")
        else:
            at_film = draw("any-surface-humidity", "air")
        cold = room - (1 - factor + (0.0 if film else drop)) * (room - outside)
        pressure = at_film / 100 * float(saturation_vapour_pressure(cold))
        percent = float(round(100 * pressure / float(saturation_vapour_pressure(room)), 1))
        plain = room - (1 - factor) * (room - outside)
        coldest = plain if film and not corner else plain - drop * (room - outside)
        dampest = 100 * pressure / float(saturation_vapour_pressure(coldest))
        if not DRYEST_AIR <= percent <= DAMPEST_AIR or not _can_be(room, percent, outside, outside_percent):
            continue
        if corner and not film and 100 * pressure / float(saturation_vapour_pressure(plain)) > DAMPEST_PLAIN:
            continue
        if dampest > (CLEAR_OF_FILM if not film and not corner else 112):
            continue
        yield Climate(
            room, percent, outside, outside_percent, round(plain, 1), round(coldest, 1), factor, drop, mean_days
        )


def _can_be(room_c: float, room_percent: float, outside_c: float, outside_percent: float) -> bool:
    """A lived-in room holds about the vapour of the air outside or more, and not far more than any room is met with."""
    excess = float(vapour_pressure(room_c, room_percent)) - float(vapour_pressure(outside_c, outside_percent))
    return 0 <= excess <= MOST_EXCESS_PA


MOST_EXCESS_PA = 1300.0
"""Vapour pressure excess of the room over outside [Pa]: wet rooms reach about as much (common practice)."""
