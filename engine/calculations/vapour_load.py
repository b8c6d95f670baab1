"""The vapour that a household adds, and the ventilation that carries it away, as single calculations."""

from __future__ import annotations

from collections.abc import Iterator

from engine.calculations.air import HUMIDITY, MAGNUS, TEMPERATURE, WMO
from engine.calculations.models import Amount, Calculation, Choice, Cited, Given, Result
from engine.calculations.surfaces import OUTSIDE

_CLASSES = tuple(f"humidity-class-{number}-limit" for number in (1, 2, 3, 4))
_ANNEX_A = Cited("en-iso-13788", "Annex A", "from_memory")
_MEANS = "Meant for means over days or weeks, not for a moment."
PRODUCTION = Amount("production", "moisture production", "kg/day", 0.001, 100)
VOLUME = Amount("volume", "volume of air", "m³", 0.1, 100_000)


def _vapour_excess(given: Given) -> Iterator[Result]:
    from engine.measures.humidity_load import vapour_excess

    names = ("temperature", "humidity", "outside", "outside-humidity")
    excess = vapour_excess(*(given.number(name) for name in names))
    yield Result("vapour-excess", "vapour excess", excess.pascal, "Pa", 0)
    yield Result("vapour-excess-content", "the same as content of the air", excess.grams_per_m3, "g/m³", 2)


def _humidity_class(given: Given) -> Iterator[Result]:
    from engine.measures.humidity_load import class_limits, humidity_class

    outside = given.number("outside")
    limits = [given.parameters[name] for name in _CLASSES]
    number = humidity_class(given.number("excess"), outside, limits)
    found = "none is defined from 20 °C outside" if number is None else f"class {number}"
    yield Result("humidity-class", "humidity class", found)
    for place, limit in enumerate(class_limits(outside, limits) if number is not None else (), start=1):
        yield Result(f"class-{place}-limit", f"greatest excess of class {place} at that temperature", limit, "Pa", 0)


def _moisture_production(given: Given) -> Iterator[Result]:
    from engine.measures.humidity_load import household_production

    production = household_production(int(given.number("persons")), given.word("occupancy") or "")
    yield Result("moisture-production", "moisture production", production, "kg/day")


def _moisture_balance(given: Given) -> Iterator[Result]:
    from engine.measures.humidity_load import excess_as_pressure, moisture_balance

    excess = moisture_balance(given.number("production"), given.number("volume"), given.number("air-changes"))
    yield Result("vapour-excess-content", "vapour excess", excess, "g/m³", 2)
    celsius = given.number("temperature")
    yield Result("vapour-excess", "the same as pressure", excess_as_pressure(excess, celsius), "Pa", 0)


def _air_changes(given: Given) -> Iterator[Result]:
    from engine.measures.humidity_load import air_changes

    rate = air_changes(given.number("production"), given.number("volume"), given.number("excess"))
    yield Result("air-changes", "air changes that hold the excess", rate, "per hour", 2)


CALCULATIONS = (
    Calculation(
        id="vapour-excess",
        title="Vapour inside above that outside",
        inputs=(TEMPERATURE, HUMIDITY, OUTSIDE, Amount("outside-humidity", "outside relative humidity", "%", 0, 100)),
        equation=f"Δe = e(inside) − e(outside); Δv likewise; {MAGNUS}; v = 1000·e/(461.5·(θ + 273.15))",
        sources=(_ANNEX_A, WMO),
        valid="-45 to 60 °C, 0 to 100 %",
        example="--temperature 20 --humidity 60 --outside 5 --outside-humidity 85",
        compute=_vapour_excess,
        caution=_MEANS,
    ),
    Calculation(
        id="humidity-class",
        title="Humidity class of a vapour excess",
        inputs=(Amount("excess", "vapour excess", "Pa", -5000, 20_000), OUTSIDE),
        equation="limit·(1 − θe/20) from 0 to 20 °C outside, the limit itself below; "
        "a value on a limit belongs to the drier class",
        sources=(_ANNEX_A,),
        valid="outside air below 20 °C",
        example="--excess 650 --outside 5",
        compute=_humidity_class,
        parameters=_CLASSES,
        caution=_MEANS,
    ),
    Calculation(
        id="moisture-production",
        title="Moisture that a household produces",
        inputs=(
            Amount("persons", "persons", "", 1, 6, whole=True),
            Choice("occupancy", "dry, moist or wet occupancy", ("dry", "moist", "wet"), default="moist"),
        ),
        equation="looked up in a table by persons and occupancy",
        sources=(Cited("bs-5250-2002", "Annex B", "from_memory"),),
        valid="one to six persons",
        example="--persons 4 --occupancy moist",
        compute=_moisture_production,
    ),
    Calculation(
        id="moisture-balance",
        title="Vapour excess to which moisture production and ventilation settle",
        inputs=(
            Amount("production", "moisture production", "kg/day", 0, 100),
            VOLUME,
            Amount("air-changes", "air changes", "per hour", 0.001, 20),
            Amount("temperature", "air temperature", "°C", -45, 60, default=20.0),
        ),
        equation="Δv = G/(n·V); Δe = Δv/1000·461.5·(θ + 273.15)",
        sources=(_ANNEX_A,),
        valid="steady state, perfect mixing, nothing taken up by walls and furnishings",
        example="--production 10 --volume 200 --air-changes 0.5",
        compute=_moisture_balance,
        caution=_MEANS,
    ),
    Calculation(
        id="air-changes",
        title="Air changes that would hold a vapour excess",
        inputs=(PRODUCTION, VOLUME, Amount("excess", "vapour excess", "g/m³", 0.001, 100)),
        equation="n = G/(Δv·V)",
        sources=(_ANNEX_A,),
        valid="steady state, perfect mixing, nothing taken up by walls and furnishings",
        example="--production 10 --volume 200 --excess 4",
        compute=_air_changes,
        caution=_MEANS,
    ),
)
