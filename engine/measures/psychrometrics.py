"""Moist air: vapour pressure, dew point, absolute humidity, humidity ratio, humidity at a surface.

Temperatures are in degrees Celsius [°C] from −45 to 60, relative humidities in percent [%] from 0 to 100,
vapour pressures in pascal [Pa]. Every function takes one number or numpy arrays that broadcast, and refuses
with ValueError, naming the range, what lies outside.

Relative humidity is taken over water at all temperatures, as hygrometers are scaled and the WMO defines it.
``phase="ice"`` takes saturation over ice instead, for frost on a freezing surface.

Sources: WMO-No. 8, *Guide to Instruments and Methods of Observation*, Annex 4.B; Sonntag 1990;
EN ISO 13788:2012 Annex E (the latter at second hand).
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from engine.measures.ranges import FloatArray, Number, above, shaped, within

Phase = Literal["water", "ice"]

COLDEST, WARMEST = -45.0, 60.0
"""Range of the Magnus form over water [°C]; over ice it ends at 0 °C."""

STANDARD_PRESSURE = 101_325.0
"""Air pressure taken when none is given [Pa]."""

ZERO_CELSIUS = 273.15
GAS_CONSTANT_OF_VAPOUR = 461.5
"""Specific gas constant of water vapour [J/(kg·K)]."""

RATIO_OF_MASSES = 0.622
"""Molar mass of water over that of dry air."""

_AT_ZERO = 611.2
_MAGNUS = {"water": (17.62, 243.12), "ice": (22.46, 272.62)}


def saturation_vapour_pressure(temperature_c: Number, phase: Phase = "water") -> Number:
    """Saturation vapour pressure [Pa] at a temperature [°C].

    611.2·exp(17.62·θ/(243.12 + θ)) over water, −45 to 60 °C; 611.2·exp(22.46·θ/(272.62 + θ)) over ice,
    −45 to 0 °C. WMO-No. 8, Annex 4.B. About 0.3 % low at 20 to 30 °C.
    """
    warmest = WARMEST if phase == "water" else 0.0
    celsius = within("temperature", temperature_c, COLDEST, warmest, "°C")
    return shaped(_saturation(celsius, phase), temperature_c)


def saturation_vapour_pressure_iso_13788(temperature_c: Number) -> Number:
    """Saturation vapour pressure [Pa] as EN ISO 13788:2012 Annex E gives it, −20 to 40 °C.

    610.5·exp(17.269·θ/(237.3 + θ)) from 0 °C up, 610.5·exp(21.875·θ/(265.5 + θ)) (over ice) below.
    """
    celsius = within("temperature", temperature_c, -20.0, 40.0, "°C")
    exponent = np.where(celsius >= 0, 17.269 * celsius / (237.3 + celsius), 21.875 * celsius / (265.5 + celsius))
    return shaped(610.5 * np.exp(exponent), temperature_c)


def vapour_pressure(temperature_c: Number, humidity_percent: Number, phase: Phase = "water") -> Number:
    """Vapour pressure [Pa] of air at a temperature [°C] and relative humidity [%]: RH/100·es(θ)."""
    humidity = within("relative humidity", humidity_percent, 0, 100, "%")
    saturation = saturation_vapour_pressure(np.asarray(temperature_c, dtype=np.float64), phase)
    return shaped(humidity / 100 * saturation, _like(temperature_c, humidity_percent))


def dew_point_of_vapour_pressure(pressure_pa: Number, phase: Phase = "water") -> Number:
    """Temperature [°C] at which a vapour pressure [Pa] saturates; the inverse of the Magnus form.

    L = ln(e/611.2); θ = 243.12·L/(17.62 − L) over water, with 272.62 and 22.46 over ice (the frost point).
    Refused where the result would lie outside −45 to 60 °C (over ice, −45 to 0 °C).
    """
    warmest = WARMEST if phase == "water" else 0.0
    slack = 1e-9
    least = float(_saturation(np.float64(COLDEST), phase)) * (1 - slack)
    greatest = float(_saturation(np.float64(warmest), phase)) * (1 + slack)
    name = f"vapour pressure (saturating between {COLDEST:g} and {warmest:g} °C)"
    pressure = within(name, pressure_pa, least, greatest, "Pa")
    slope, offset = _MAGNUS[phase]
    logarithm = np.log(pressure / _AT_ZERO)
    return shaped(offset * logarithm / (slope - logarithm), pressure_pa)


def dew_point(temperature_c: Number, humidity_percent: Number) -> Number:
    """Dew point [°C] of air at a temperature [°C] and relative humidity above 0 % [%], over water."""
    above("relative humidity", humidity_percent, 0, 100, "%")
    return dew_point_of_vapour_pressure(vapour_pressure(temperature_c, humidity_percent))


def frost_point(temperature_c: Number, humidity_percent: Number) -> Number:
    """Temperature [°C], at or below 0, at which frost forms from air at a temperature [°C] and humidity [%].

    Refused where the vapour pressure is above 611.2 Pa, for such air dews before it freezes.
    """
    above("relative humidity", humidity_percent, 0, 100, "%")
    return dew_point_of_vapour_pressure(vapour_pressure(temperature_c, humidity_percent), "ice")


def humidity_of_dew_point(temperature_c: Number, dew_point_c: Number) -> Number:
    """Relative humidity [%] of air at a temperature [°C] with a dew point [°C]; the inverse of `dew_point`.

    A dew point above the air temperature cannot be and is refused.
    """
    air = within("temperature", temperature_c, COLDEST, WARMEST, "°C")
    dew = within("dew point", dew_point_c, COLDEST, WARMEST, "°C")
    if np.any(dew > air + 1e-9):
        raise ValueError(f"dew point: found {np.max(dew - air):g} K above the air temperature; allowed: at or below it")
    humidity = 100 * _saturation(dew, "water") / _saturation(air, "water")
    return shaped(np.minimum(humidity, 100.0), _like(temperature_c, dew_point_c))


def absolute_humidity(temperature_c: Number, humidity_percent: Number) -> Number:
    """Water vapour in the air [g/m³]: 1000·e/(461.5·(θ + 273.15))."""
    celsius = np.asarray(temperature_c, dtype=np.float64)
    pressure = np.asarray(vapour_pressure(temperature_c, humidity_percent), dtype=np.float64)
    grams = 1000 * pressure / (GAS_CONSTANT_OF_VAPOUR * (celsius + ZERO_CELSIUS))
    return shaped(grams, _like(temperature_c, humidity_percent))


def humidity_of_absolute(temperature_c: Number, grams_per_m3: Number) -> Number:
    """Relative humidity [%] of air at a temperature [°C] holding g/m³ of vapour; inverse of `absolute_humidity`.

    More vapour than the air can hold is refused.
    """
    celsius = within("temperature", temperature_c, COLDEST, WARMEST, "°C")
    content = within("absolute humidity", grams_per_m3, 0, 200, "g/m³")
    pressure = content / 1000 * GAS_CONSTANT_OF_VAPOUR * (celsius + ZERO_CELSIUS)
    humidity = 100 * pressure / _saturation(celsius, "water")
    if np.any(humidity > 100 + 1e-9):
        raise ValueError(f"absolute humidity: found {np.max(humidity):.0f} % of saturation; allowed: at most 100 %")
    return shaped(np.minimum(humidity, 100.0), _like(temperature_c, grams_per_m3))


def humidity_ratio(temperature_c: Number, humidity_percent: Number, pressure_pa: float = STANDARD_PRESSURE) -> Number:
    """Water per dry air by mass [kg/kg]: 0.622·e/(p − e), air pressure 60 000 to 110 000 Pa."""
    within("air pressure", pressure_pa, 60_000, 110_000, "Pa")
    pressure = np.asarray(vapour_pressure(temperature_c, humidity_percent), dtype=np.float64)
    return shaped(RATIO_OF_MASSES * pressure / (pressure_pa - pressure), _like(temperature_c, humidity_percent))


def surface_humidity(pressure_pa: Number, surface_c: Number, phase: Phase = "water") -> Number:
    """Relative humidity [%] of air with a vapour pressure [Pa] once cooled to a surface [°C]: 100·e/es(θs).

    100 where vapour condenses: air at a surface holds no more than saturation.
    """
    pressure = within("vapour pressure", pressure_pa, 0, 20_000, "Pa")
    saturation = saturation_vapour_pressure(np.asarray(surface_c, dtype=np.float64), phase)
    return shaped(np.minimum(100 * pressure / saturation, 100.0), _like(pressure_pa, surface_c))


def dew_point_margin(temperature_c: Number, humidity_percent: Number, surface_c: Number) -> Number:
    """How far a surface [°C] is above the dew point of the air [K]; negative when vapour condenses on it."""
    surface = within("surface temperature", surface_c, COLDEST, WARMEST, "°C")
    dew = np.asarray(dew_point(temperature_c, humidity_percent), dtype=np.float64)
    return shaped(surface - dew, _like(temperature_c, humidity_percent, surface_c))


def _saturation(celsius: FloatArray | np.float64, phase: Phase) -> FloatArray:
    slope, offset = _MAGNUS[phase]
    return np.asarray(_AT_ZERO * np.exp(slope * celsius / (offset + celsius)))


def _like(*values: Number) -> Number:
    return next((value for value in values if np.ndim(value)), values[0])
