"""Salts: at what humidity they take up water, how much, and what the ions found do in a room.

Relative humidities in percent [%], temperatures °C. Sources: Greenspan, *J. Res. NBS* 81A (1977) 89–96; Wexler in
the *CRC Handbook*, RH = A·exp(B/T), ± 2 %; water activities of sodium chloride from Robinson and Stokes (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp
from typing import Literal

import numpy as np

from engine.measures.ranges import within

KELVIN = 273.15
MOLAR_MASS_SODIUM_CHLORIDE = 58.44
"""[g/mol]"""

Behaviour = Literal["take-up-water", "may-take-up-water", "unlikely-to-take-up-water"]


@dataclass(frozen=True, slots=True)
class Salt:
    """A salt with the humidity over its saturated solution as a function of temperature.

    ``polynomial`` in °C (lowest power first), else ``exponential`` (A, B) of A·exp(B/T) with T in kelvin, else
    ``points`` (°C, %) joined by straight lines. Valid from ``least`` to ``greatest`` °C.
    """

    name: str
    ions: tuple[str, ...]
    source: str
    least: float
    greatest: float
    polynomial: tuple[float, ...] = ()
    exponential: tuple[float, float] | None = None
    points: tuple[tuple[float, float], ...] = ()

    def humidity(self, temperature_c: float) -> float:
        """Deliquescence humidity [%] at a temperature [°C] within the salt's own range; an upper bound in a mixture."""
        within(f"temperature for {self.name}", temperature_c, self.least, self.greatest, "°C")
        if self.polynomial:
            return sum(factor * temperature_c**power for power, factor in enumerate(self.polynomial))
        if self.exponential:
            return self.exponential[0] * exp(self.exponential[1] / (temperature_c + KELVIN))
        celsius, percent = zip(*self.points, strict=True)
        return float(np.interp(temperature_c, celsius, percent))


GREENSPAN = "Greenspan 1977"
WEXLER = "Wexler, CRC Handbook, ± 2 %"
MEMORY = "from memory"

SALTS: dict[str, Salt] = {
    salt.name: salt
    for salt in (
        Salt("calcium chloride", ("chloride",), WEXLER, 15, 25, exponential=(0.11, 1653)),
        Salt("magnesium chloride", ("chloride",), GREENSPAN, 0, 50, (33.6686, -0.00797397, -0.00108988)),
        Salt("potassium carbonate", (), GREENSPAN, 0, 30, (43.1315, 0.00147523)),
        Salt("calcium nitrate", ("nitrate",), WEXLER, 10, 30, exponential=(1.89, 981)),
        Salt(
            "magnesium nitrate",
            ("nitrate",),
            f"{GREENSPAN}, {MEMORY}",
            10,
            25,
            points=((10, 57.4), (15, 55.9), (20, 54.4), (25, 52.9)),
        ),
        Salt(
            "sodium bromide",
            (),
            f"{GREENSPAN}, {MEMORY}",
            10,
            25,
            points=((10, 62.2), (15, 60.7), (20, 59.1), (25, 57.6)),
        ),
        Salt("ammonium nitrate", ("nitrate", "ammonium"), WEXLER, 10, 40, exponential=(3.54, 853)),
        Salt(
            "sodium nitrate",
            ("nitrate",),
            f"{GREENSPAN}, {MEMORY}",
            10,
            25,
            points=((10, 77.5), (15, 76.5), (20, 75.4), (25, 74.3)),
        ),
        Salt("sodium chloride", ("chloride",), GREENSPAN, 0, 50, (75.5164, 0.0398321, -0.00265459, 2.848e-5)),
        Salt(
            "ammonium chloride",
            ("chloride", "ammonium"),
            WEXLER,
            10,
            25,
            points=((10, 81.8), (15, 80.6), (20, 79.5), (25, 78.5)),
        ),
        Salt(
            "ammonium sulphate",
            ("sulphate", "ammonium"),
            WEXLER,
            10,
            25,
            points=((10, 82.0), (15, 81.6), (20, 81.3), (25, 80.9)),
        ),
        Salt("potassium chloride", ("chloride",), GREENSPAN, 0, 50, (88.6190, -0.193340, 8.99706e-4)),
        Salt("magnesium sulphate", ("sulphate",), MEMORY, 20, 20, points=((20, 90.0),)),
        Salt("sodium sulphate", ("sulphate",), MEMORY, 20, 20, points=((20, 93.5),)),
        Salt("potassium nitrate", ("nitrate",), GREENSPAN, 0, 50, (96.3361, 0.0112371, -0.00484514)),
        Salt("potassium sulphate", ("sulphate",), GREENSPAN, 0, 50, (98.7792, -0.0590502)),
        Salt("gypsum", ("sulphate",), MEMORY, 20, 20, points=((20, 99.0),)),
    )
}
"""Salts met in masonry and references, by name. Potassium nitrate differs by up to 1.7 % between sources."""

_SODIUM_CHLORIDE = ((75.98, 6.0), (80.68, 5.0), (85.15, 4.0), (89.32, 3.0), (93.16, 2.0), (96.69, 1.0))
"""(relative humidity over the solution [%], mol of salt per kg of water) at 25 °C; Robinson and Stokes, from memory."""


def deliquescence_humidity(salt: str, temperature_c: float) -> float:
    """Deliquescence humidity [%] of a pure salt at a temperature [°C]; KeyError for a salt that is not in `SALTS`.

    A mixture deliquesces below any single member, so this is an upper bound for masonry.
    """
    return SALTS[salt].humidity(temperature_c)


def salts_of(ions: Iterable[str]) -> tuple[Salt, ...]:
    """The salts of `SALTS` that some of the ions found can form, by name."""
    found = set(ions)
    return tuple(SALTS[name] for name in sorted(SALTS) if found & set(SALTS[name].ions))


def behaviour_in_room(ions: Iterable[str], temperature_c: float, humidity_percent: float) -> Behaviour | None:
    """What the salts of the ions found do in air at a temperature [°C] and humidity [%]; None without ions.

    The counter-ions are not known, so this goes by the range over all common salts of any ion: at or above the
    highest deliquescence humidity of one ion's salts that ion takes up water whatever it is bound to; below the
    lowest none of them does as a pure salt, though a mixture may. A salt whose range does not reach the
    temperature is taken at the nearest end of its range.
    """
    within("relative humidity", humidity_percent, 0, 100, "%")
    lowest, surely = 100.0, False
    any_salt = False
    for ion in sorted(set(ions)):
        humidities = [salt.humidity(min(max(temperature_c, salt.least), salt.greatest)) for salt in salts_of((ion,))]
        if humidities:
            any_salt = True
            lowest = min(lowest, *humidities)
            surely = surely or humidity_percent >= max(humidities)
    if not any_salt:
        return None
    if surely:
        return "take-up-water"
    return "may-take-up-water" if humidity_percent >= lowest else "unlikely-to-take-up-water"


def water_drawn_by_sodium_chloride(humidity_percent: float) -> float:
    """Water that a gram of sodium chloride holds in solution [g/g] in air of a humidity [%], 76 to 96.6, near 25 °C.

    1000/(m·58.44) with the molality m joined by straight lines between published water activities
    (Robinson and Stokes, from memory).
    """
    within("relative humidity", humidity_percent, 76, 96.6, "%")
    percent, molality = zip(*_SODIUM_CHLORIDE, strict=True)
    return 1000 / (float(np.interp(humidity_percent, percent, molality)) * MOLAR_MASS_SODIUM_CHLORIDE)
