"""Mould growth on a surface: critical humidity, time to first growth, and the mould index over time.

The model of Hukka and Viitanen (*Wood Science and Technology* 33, 1999, 475–485) with the sensitivity classes of
Ojanen and others (2010); equations from public implementations, the time to visible growth from memory. Index: 0
none, 1 first growth under the microscope, 3 first visible, 6 dense cover. Made on pine and spruce, 0 to 50 °C;
paint, paste and soiling make real surfaces vary.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.measures.ranges import FloatArray, Number, above, shaped, within

WARMEST_GROWTH = 50.0
"""Above this temperature, and at or below 0 °C, nothing grows [°C]."""


@dataclass(frozen=True, slots=True)
class SensitivityClass:
    """How readily mould grows on a material.

    ``first`` and ``later`` scale the rate below and from index 1; ``a``, ``b``, ``c`` give the greatest index at a
    humidity; ``least_humidity`` is the floor of the critical humidity [%].
    """

    name: str
    first: float
    later: float
    a: float
    b: float
    c: float
    least_humidity: float


SENSITIVITY_CLASSES = (
    SensitivityClass("very sensitive", 1.0, 2.0, 1.0, 7.0, 2.0, 80.0),
    SensitivityClass("sensitive", 0.578, 0.386, 0.3, 6.0, 1.0, 80.0),
    SensitivityClass("medium resistant", 0.072, 0.097, 0.0, 5.0, 1.5, 85.0),
    SensitivityClass("resistant", 0.033, 0.014, 0.0, 3.0, 1.0, 85.0),
)
"""Published classes, most sensitive first (pine sapwood; glued boards, paper; concrete, wool; treated faces)."""


def sensitivity_class(number: float) -> SensitivityClass:
    """The class by its number, 1 very sensitive to 4 resistant; ValueError for any other."""
    if number not in (1, 2, 3, 4):
        raise ValueError(f"sensitivity to mould: found {number:g}; allowed: 1, 2, 3 or 4")
    return SENSITIVITY_CLASSES[int(number) - 1]


def critical_humidity(temperature_c: Number, least_humidity: float = 80.0) -> Number:
    """Relative humidity [%] below which mould does not grow, 0 to 50 °C.

    −0.00267·θ³ + 0.160·θ² − 3.13·θ + 100 up to 20 °C and 80 above, no lower than the material's floor.
    """
    celsius = within("temperature", temperature_c, 0, WARMEST_GROWTH, "°C")
    return shaped(_critical(celsius, least_humidity), temperature_c)


def weeks_to_first_growth(
    temperature_c: Number, humidity_percent: Number, *, spruce: bool = False, kiln_dried: bool = False
) -> Number:
    """Weeks at constant climate to index 1 on wood: exp(−0.68·ln θ − 13.9·ln RH + 0.14·W − 0.33·SQ + 66.02).

    W is 1 for spruce and 0 for pine, SQ 1 for a kiln-dried surface. Above 0 to 50 °C and from the critical
    humidity to 100 %.
    """
    celsius, humidity = _growing(temperature_c, humidity_percent)
    return shaped(_weeks(celsius, humidity) * np.exp(0.14 * spruce - 0.33 * kiln_dried), temperature_c)


def weeks_to_visible_growth(temperature_c: Number, humidity_percent: Number, *, spruce: bool = False) -> Number:
    """Weeks at constant climate to index 3 on wood: exp(−0.74·ln θ − 12.72·ln RH + 0.06·W + 61.50).

    Same range as `weeks_to_first_growth`.
    """
    celsius, humidity = _growing(temperature_c, humidity_percent)
    exponent = -0.74 * np.log(celsius) - 12.72 * np.log(humidity) + 0.06 * spruce + 61.50
    return shaped(np.exp(exponent), temperature_c)


def greatest_index(
    temperature_c: Number, humidity_percent: Number, material: SensitivityClass = SENSITIVITY_CLASSES[0]
) -> Number:
    """The index that growth at constant climate tends to: A + B·x − C·x², x = (RHcrit − RH)/(RHcrit − 100)."""
    celsius, humidity = _growing(temperature_c, humidity_percent, material.least_humidity)
    return shaped(_greatest(celsius, humidity, material), temperature_c)


def mould_index(
    temperature_c: FloatArray,
    humidity_percent: FloatArray,
    step_hours: float,
    material: SensitivityClass,
    decline_factor: float = 1.0,
    start: float = 0.0,
) -> FloatArray:
    """The mould index after each step of a series of surface temperature [°C] and humidity [%], same length.

    Growth k1·k2/(7·tm) per day with k2 = max(1 − exp(2.3·(M − Mmax)), 0); in dry spells −0.032 per day for the
    first 6 hours, nothing to 24 hours, then −0.016 per day, times ``decline_factor`` (0 to 1; 1 for wood).
    Steps above 0 to 6 hours. A missing value (NaN) holds the index and starts the dry spell anew.
    Temperatures −45 to 60 °C, humidities 0 to 100 %.
    """
    above("step", step_hours, 0, 6, "h")
    within("decline factor", decline_factor, 0, 1, "")
    within("index at the start", start, 0, 6, "")
    celsius, humidity = (np.asarray(values, dtype=np.float64) for values in (temperature_c, humidity_percent))
    known = np.isfinite(celsius) & np.isfinite(humidity)
    within("temperature", celsius[known], -45, 60, "°C")
    within("relative humidity", humidity[known], 0, 100, "%")
    grows = known & (celsius > 0) & (celsius <= WARMEST_GROWTH)
    grows[grows] &= humidity[grows] >= _critical(celsius[grows], material.least_humidity)
    rate = np.zeros_like(celsius)
    rate[grows] = step_hours / 24 / (7 * _weeks(celsius[grows], humidity[grows]))
    ceiling = np.zeros_like(celsius)
    ceiling[grows] = _greatest(celsius[grows], humidity[grows], material)

    index, dry_hours = start, 0.0
    out: list[float] = []
    for growing, valid, step, top in zip(grows.tolist(), known.tolist(), rate.tolist(), ceiling.tolist(), strict=True):
        if growing:
            dry_hours = 0.0
            if index < top:
                pace = material.first if index < 1 else material.later
                index = min(index + step * pace * -float(np.expm1(2.3 * (index - top))), top)
        elif valid:
            lost = 0.032 * _hours_within(dry_hours, step_hours, 0, 6) + 0.016 * _hours_within(
                dry_hours, step_hours, 24, np.inf
            )
            index = max(0.0, index - lost / 24 * decline_factor)
            dry_hours += step_hours
        else:
            dry_hours = 0.0
        out.append(index)
    return np.array(out)


def _hours_within(start: float, length: float, least: float, greatest: float) -> float:
    return max(0.0, min(start + length, greatest) - max(start, least))


def _growing(
    temperature_c: float | FloatArray, humidity_percent: float | FloatArray, least_humidity: float = 80.0
) -> tuple[FloatArray, FloatArray]:
    celsius = above("temperature", temperature_c, 0, WARMEST_GROWTH, "°C")
    humidity = within("relative humidity", humidity_percent, 0, 100, "%")
    critical = _critical(celsius, least_humidity)
    if np.any(humidity < critical):
        raise ValueError(
            f"relative humidity: found {np.min(humidity):g}; allowed: the critical humidity or more, "
            f"here {np.max(critical):.1f} to 100 %"
        )
    return celsius, humidity


def _critical(celsius: FloatArray, least_humidity: float) -> FloatArray:
    cubic = -0.00267 * celsius**3 + 0.160 * celsius**2 - 3.13 * celsius + 100
    return np.maximum(np.where(celsius <= 20, cubic, 80.0), least_humidity)


def _weeks(celsius: FloatArray, humidity: FloatArray) -> FloatArray:
    return np.asarray(np.exp(-0.68 * np.log(celsius) - 13.9 * np.log(humidity) + 66.02))


def _greatest(celsius: FloatArray, humidity: FloatArray, material: SensitivityClass) -> FloatArray:
    critical = _critical(celsius, material.least_humidity)
    share = np.where(critical < 100, (critical - humidity) / np.minimum(critical - 100, -1e-12), 0.0)
    return np.maximum(material.a + material.b * share - material.c * share**2, 0.0)
