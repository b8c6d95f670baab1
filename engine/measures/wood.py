"""Wood: equilibrium moisture content and its inverse, resistance, temperature correction of a resistance meter.

Moisture contents are percent of dry mass [%], temperatures °C, relative humidities %, resistances Ω.
"""

from __future__ import annotations

import numpy as np

from engine.measures.ranges import FloatArray, Number, above, shaped, within

COLDEST, WARMEST = -1.2, 130.0
"""Range of the sorption equation [°C]."""

COLDEST_CORRECTED, WARMEST_CORRECTED = 0.0, 40.0
"""Range over which meter readings are corrected [°C]; frozen wood does not conduct as thawed wood does."""

NEUTRAL = 23.0
"""Temperature at which the meter correction changes nothing to speak of [°C]."""


def equilibrium_moisture_content(temperature_c: Number, humidity_percent: Number) -> Number:
    """Moisture content that wood comes to in air at a temperature [°C], −1.2 to 130, and humidity [%], 0 to 100.

    EMC = 1800/W·[K·h/(1 − K·h) + (K1·K·h + 2·K1·K2·K²·h²)/(1 + K1·K·h + K1·K2·K²·h²)], h = RH/100, with
    W, K, K1, K2 quadratic in temperature (Hailwood-Horrobin form; Simpson 1998, FPL-RN-0268; *Wood Handbook*
    equation 4-5). A mean curve: hysteresis and species each move it by about one point. Above 95 % humidity it is
    extrapolated.
    """
    celsius = within("temperature", temperature_c, COLDEST, WARMEST, "°C")
    humidity = within("relative humidity", humidity_percent, 0, 100, "%")
    like = temperature_c if np.ndim(temperature_c) else humidity_percent
    return shaped(_equilibrium(celsius, humidity), like)


def humidity_of_equilibrium(temperature_c: Number, moisture_percent: Number) -> Number:
    """Relative humidity [%] with which wood of a moisture content [%] is in equilibrium, by bisection.

    The inverse of `equilibrium_moisture_content`; refused above the moisture content of saturated air, where
    only liquid water can have brought it.
    """
    celsius = within("temperature", temperature_c, COLDEST, WARMEST, "°C")
    moisture = within("moisture content", moisture_percent, 0, 200, "%")
    greatest = _equilibrium(celsius, np.asarray(100.0))
    if np.any(moisture > greatest):
        raise ValueError(
            f"moisture content: found {np.max(moisture):g}; allowed: 0 to {np.min(greatest):.1f} %, "
            "which is what saturated air alone would give"
        )
    shape = np.broadcast(celsius, moisture).shape
    low, high = np.zeros(shape), np.full(shape, 100.0)
    for _ in range(60):
        middle = (low + high) / 2
        drier = _equilibrium(celsius, middle) < moisture
        low, high = np.where(drier, middle, low), np.where(drier, high, middle)
    like = temperature_c if np.ndim(temperature_c) else moisture_percent
    return shaped(np.asarray((low + high) / 2), like)


def moisture_of_resistance(resistance_ohm: Number) -> Number:
    """Moisture content [%] of Douglas-fir from the resistance between pins [Ω], about 7 to 30 %.

    log10(MC) = 2.99 − 2.113·log10(log10 R) (Straube, Onysko and Schumacher 2002, from memory); 1e5 to 1e11 Ω. For
    pins 31 mm apart and 8 mm deep, near 25 °C.
    """
    resistance = within("resistance", resistance_ohm, 1e5, 1e11, "Ω")
    return shaped(10 ** (2.99 - 2.113 * np.log10(np.log10(resistance))), resistance_ohm)


def resistance_of_moisture(moisture_percent: Number) -> Number:
    """Resistance [Ω] at a moisture content [%]; the inverse of `moisture_of_resistance`, same range."""
    least, greatest = moisture_of_resistance(1e11), moisture_of_resistance(1e5)
    slack = 1e-9
    moisture = within("moisture content", moisture_percent, least - slack, greatest + slack, "%")
    return shaped(10 ** (10 ** ((2.99 - np.log10(moisture)) / 2.113)), moisture_percent)


def corrected_reading(reading: Number, temperature_c: Number, slope: float = 1.0, offset: float = 0.0) -> Number:
    """Moisture content [%] from a meter's reading [%], 0 to 200, and the wood's own temperature [°C], 0 to 40.

    MC = {[R + 0.567 − 0.0260·T + 0.000051·T²]/[0.881·1.0056^T] − b}/a; a = 1 and b = 0 for the species to which
    the meter is scaled (Pfaff and Garrahan 1986, *Forest Products Journal* 36(3), at second hand). The term
    added to the reading is not wood: a result below 0 is given as 0.
    """
    read = within("reading", reading, 0, 200, "%")
    celsius = within("wood temperature", temperature_c, COLDEST_CORRECTED, WARMEST_CORRECTED, "°C")
    above("species slope", slope, 0, 5, "")
    moisture = ((read + _shift(celsius)) / _gain(celsius) - offset) / slope
    return shaped(np.maximum(moisture, 0.0), reading if np.ndim(reading) else temperature_c)


def reading_of_moisture(
    moisture_percent: Number, temperature_c: Number, slope: float = 1.0, offset: float = 0.0
) -> Number:
    """The reading [%] that a meter would give; the inverse of `corrected_reading`, same range."""
    moisture = within("moisture content", moisture_percent, 0, 200, "%")
    celsius = within("wood temperature", temperature_c, COLDEST_CORRECTED, WARMEST_CORRECTED, "°C")
    above("species slope", slope, 0, 5, "")
    read = (moisture * slope + offset) * _gain(celsius) - _shift(celsius)
    return shaped(np.maximum(read, 0.0), moisture_percent if np.ndim(moisture_percent) else temperature_c)


def _shift(celsius: FloatArray) -> FloatArray:
    return 0.567 - 0.0260 * celsius + 0.000051 * celsius**2


def _gain(celsius: FloatArray) -> FloatArray:
    return np.asarray(0.881 * 1.0056**celsius)


def _equilibrium(celsius: FloatArray, humidity: FloatArray) -> FloatArray:
    molar = 349 + 1.29 * celsius + 0.0135 * celsius**2
    k = 0.805 + 0.000736 * celsius - 0.00000273 * celsius**2
    first = 6.27 - 0.00938 * celsius - 0.000303 * celsius**2
    second = 1.91 + 0.0407 * celsius - 0.000293 * celsius**2
    kh = k * humidity / 100
    hydrate = first * kh + first * second * kh**2
    return 1800 / molar * (kh / (1 - kh) + (hydrate + first * second * kh**2) / (1 + hydrate))
