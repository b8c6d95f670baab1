"""Moist air as single calculations."""

from __future__ import annotations

from collections.abc import Iterator

from engine.calculations.models import Amount, Calculation, Cited, Given, Result

TEMPERATURE = Amount("temperature", "air temperature", "°C", -45, 60)
HUMIDITY = Amount("humidity", "relative humidity", "%", 0, 100)
DAMP_AIR = Amount("humidity", "relative humidity", "%", 0, 100, above=True)
MAGNUS = "es = 611.2·exp(17.62·θ/(243.12 + θ)); e = RH/100·es"
WMO = Cited("wmo-no-8")
SNAPSHOT = "A reading of one moment is a snapshot: it shows neither wetting nor drying, nor what the night brings."
_OVER_WATER = "-45 to 60 °C, 0 to 100 % over water; about 0.3 % low at 20 to 30 °C"


def _dew_point(given: Given) -> Iterator[Result]:
    from engine.measures.psychrometrics import dew_point, vapour_pressure

    celsius, humidity = given.number("temperature"), given.number("humidity")
    yield Result("dew-point", "dew point", dew_point(celsius, humidity), "°C")
    yield Result("vapour-pressure", "vapour pressure", vapour_pressure(celsius, humidity), "Pa", 0)


def _frost_point(given: Given) -> Iterator[Result]:
    from engine.measures.psychrometrics import frost_point

    yield Result("frost-point", "frost point", frost_point(given.number("temperature"), given.number("humidity")), "°C")


def _vapour_pressure(given: Given) -> Iterator[Result]:
    from engine.measures.psychrometrics import (
        saturation_vapour_pressure,
        saturation_vapour_pressure_iso_13788,
        vapour_pressure,
    )

    celsius, humidity = given.number("temperature"), given.number("humidity")
    yield Result("vapour-pressure", "vapour pressure", vapour_pressure(celsius, humidity), "Pa", 0)
    yield Result("saturation", "vapour pressure at saturation", saturation_vapour_pressure(celsius), "Pa", 0)
    if -20 <= celsius <= 40:
        standard = saturation_vapour_pressure_iso_13788(celsius)
        note = "EN ISO 13788, over ice below 0 °C"
        yield Result("saturation-iso-13788", "the same by another formula", standard, "Pa", 0, note=note)


def _absolute_humidity(given: Given) -> Iterator[Result]:
    from engine.measures.psychrometrics import absolute_humidity, humidity_ratio

    celsius, humidity, pressure = given.number("temperature"), given.number("humidity"), given.number("pressure")
    yield Result("absolute-humidity", "absolute humidity", absolute_humidity(celsius, humidity), "g/m³", 2)
    ratio = 1000 * humidity_ratio(celsius, humidity, pressure)
    yield Result("humidity-ratio", "humidity ratio", ratio, "g/kg of dry air", 2)


def _humidity_of_dew_point(given: Given) -> Iterator[Result]:
    from engine.measures.psychrometrics import humidity_of_dew_point

    humidity = humidity_of_dew_point(given.number("temperature"), given.number("dew-point"))
    yield Result("relative-humidity", "relative humidity", humidity, "%")


def _humidity_of_content(given: Given) -> Iterator[Result]:
    from engine.measures.psychrometrics import humidity_of_absolute

    humidity = humidity_of_absolute(given.number("temperature"), given.number("content"))
    yield Result("relative-humidity", "relative humidity", humidity, "%")


CALCULATIONS = (
    Calculation(
        id="dew-point",
        title="Dew point and vapour pressure of air",
        inputs=(TEMPERATURE, DAMP_AIR),
        equation=f"{MAGNUS}; L = ln(e/611.2); dew point = 243.12·L/(17.62 − L)",
        sources=(WMO, Cited("sonntag-1990")),
        valid=f"{_OVER_WATER}; refused where the dew point would lie below -45 °C",
        example="--temperature 20 --humidity 60",
        compute=_dew_point,
        caution=SNAPSHOT,
    ),
    Calculation(
        id="frost-point",
        title="Temperature at which frost forms from air",
        inputs=(TEMPERATURE, DAMP_AIR),
        equation="as the dew point, with 272.62 and 22.46 over ice",
        sources=(WMO,),
        valid="air of which the vapour pressure is at most 611.2 Pa, for other air dews before it freezes",
        example="--temperature 2 --humidity 70",
        compute=_frost_point,
    ),
    Calculation(
        id="vapour-pressure",
        title="Vapour pressure of air, and at saturation",
        inputs=(TEMPERATURE, HUMIDITY),
        equation=f"{MAGNUS}; beside it 610.5·exp(17.269·θ/(237.3 + θ)), below 0 °C 610.5·exp(21.875·θ/(265.5 + θ))",
        sources=(WMO, Cited("sonntag-1990"), Cited("en-iso-13788", "Annex E")),
        valid=f"{_OVER_WATER}; the other formula from -20 to 40 °C",
        example="--temperature 20 --humidity 60",
        compute=_vapour_pressure,
    ),
    Calculation(
        id="absolute-humidity",
        title="Water in the air by volume and by mass",
        inputs=(TEMPERATURE, HUMIDITY, Amount("pressure", "air pressure", "Pa", 60_000, 110_000, default=101_325.0)),
        equation=f"{MAGNUS}; v = 1000·e/(461.5·(θ + 273.15)); w = 0.622·e/(p − e)",
        sources=(WMO,),
        valid=_OVER_WATER,
        example="--temperature 20 --humidity 60",
        compute=_absolute_humidity,
    ),
    Calculation(
        id="humidity-of-dew-point",
        title="Relative humidity of air from its dew point",
        inputs=(TEMPERATURE, Amount("dew-point", "dew point", "°C", -45, 60)),
        equation="RH = 100·es(dew point)/es(θ), es = 611.2·exp(17.62·θ/(243.12 + θ))",
        sources=(WMO,),
        valid="-45 to 60 °C; a dew point above the air temperature cannot be",
        example="--temperature 20 --dew-point 12",
        compute=_humidity_of_dew_point,
    ),
    Calculation(
        id="humidity-of-content",
        title="Relative humidity of air from the water in it",
        inputs=(TEMPERATURE, Amount("content", "absolute humidity", "g/m³", 0, 200)),
        equation="e = v/1000·461.5·(θ + 273.15); RH = 100·e/es, es = 611.2·exp(17.62·θ/(243.12 + θ))",
        sources=(WMO,),
        valid="-45 to 60 °C; more than saturated air holds cannot be",
        example="--temperature 20 --content 10",
        compute=_humidity_of_content,
    ),
)
