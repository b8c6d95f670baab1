"""Inner surfaces as single calculations: humidity at them, temperature factor, temperature from a U-value."""

from __future__ import annotations

from collections.abc import Iterator

from engine.calculations.air import DAMP_AIR, MAGNUS, SNAPSHOT, TEMPERATURE, WMO
from engine.calculations.models import Amount, Calculation, Cited, Given, Result

SURFACE = Amount("surface", "surface temperature", "°C", -45, 60)
INSIDE = Amount("inside", "inside air temperature", "°C", -45, 60)
OUTSIDE = Amount("outside", "outside air temperature", "°C", -45, 60)
LIMIT = Amount("limit", "least temperature factor", "", 0, 1, parameter="temperature-factor-limit")
_ISO_13788 = Cited("en-iso-13788")
_FACTOR = "f = (θsi − θe)/(θi − θe)"


def _surface_humidity(given: Given) -> Iterator[Result]:
    from engine.measures.psychrometrics import dew_point_margin, surface_humidity, vapour_pressure

    celsius, humidity, surface = (given.number(name) for name in ("temperature", "humidity", "surface"))
    margin = dew_point_margin(celsius, humidity, surface)
    at_surface = surface_humidity(vapour_pressure(celsius, humidity), surface)
    tolerance = given.parameters["dew-point-margin-undecided"]
    verdict = "undecided" if abs(margin) < tolerance else "vapour condenses" if margin < 0 else "no condensation"
    limit = given.parameters["surface-humidity-mould-limit"]
    yield Result("surface-humidity", "relative humidity at the surface", at_surface, "%")
    yield Result("dew-point-margin", "surface above the dew point of the air", margin, "K")
    yield Result("condensation", "condensation at that moment", verdict)
    reached = f"at or above {limit:g} %" if at_surface >= limit else f"below {limit:g} %"
    yield Result("mould-limit", "against the humidity at which mould may grow if it lasts", reached)


def _temperature_factor(given: Given) -> Iterator[Result]:
    from engine.measures.temperature_factor import temperature_factor

    factor = temperature_factor(
        given.number("surface"),
        given.number("inside"),
        given.number("outside"),
        surface_tolerance_k=given.number("surface-tolerance"),
        inside_tolerance_k=given.number("inside-tolerance"),
        outside_tolerance_k=given.number("outside-tolerance"),
        least_difference_k=given.number("least-difference"),
    )
    yield Result(
        "temperature-factor", "temperature factor", factor.value, "", 2, lower=factor.lower, upper=factor.upper
    )
    limit = given.number("limit")
    yield Result("verdict", f"against the limit of {limit:g}", factor.verdict(limit))


def _surface_temperature(given: Given) -> Iterator[Result]:
    from engine.measures.temperature_factor import expected_factor

    factor = expected_factor(given.number("u-value"), given.number("resistance"), given.number("quoted-with"))
    inside, outside = given.number("inside"), given.number("outside")
    yield Result("surface-temperature", "inner surface temperature", outside + factor * (inside - outside), "°C")
    yield Result("temperature-factor", "temperature factor", factor, "", 2)
    limit = given.number("limit")
    yield Result("verdict", f"against the limit of {limit:g}", "above" if factor >= limit else "below")


def _tolerance(name: str, parameter: str) -> Amount:
    return Amount(f"{name}-tolerance", f"tolerance of the {name} temperature", "K", 0, 10, parameter=parameter)


def _resistance(name: str, title: str) -> Amount:
    return Amount(name, title, "m²K/W", 0, 1, parameter="surface-resistance-inside")


CALCULATIONS = (
    Calculation(
        id="surface-humidity",
        title="Humidity at a surface, and how far the surface is above the dew point",
        inputs=(TEMPERATURE, DAMP_AIR, SURFACE),
        equation=f"{MAGNUS}; RHs = 100·e(air)/es(surface), at most 100; margin = θs − dew point",
        sources=(WMO, _ISO_13788),
        valid="-45 to 60 °C; undecided where the margin is smaller than an ordinary hygrometer can tell",
        example="--temperature 20 --humidity 60 --surface 13.5",
        compute=_surface_humidity,
        parameters=("dew-point-margin-undecided", "surface-humidity-mould-limit"),
        caution=SNAPSHOT,
    ),
    Calculation(
        id="temperature-factor",
        title="Temperature factor of an inner surface, measured, with its error band",
        inputs=(
            SURFACE,
            INSIDE,
            OUTSIDE,
            _tolerance("surface", "surface-thermometer-tolerance"),
            _tolerance("inside", "air-thermometer-tolerance"),
            _tolerance("outside", "air-thermometer-tolerance"),
            Amount(
                "least-difference",
                "least difference of inside and outside",
                "K",
                0,
                50,
                parameter="temperature-factor-least-difference",
            ),
            LIMIT,
        ),
        equation=f"{_FACTOR}; band = √((us)² + (f·ui)² + ((1 − f)·ue)²)/(θi − θe)",
        sources=(_ISO_13788, Cited("jcgm-100")),
        valid="inside warmer than outside by the stated least difference; undecided where the band holds the limit",
        example="--surface 13.5 --inside 20 --outside 2",
        compute=_temperature_factor,
        caution="It is of one moment: steady heating for some hours before, and no sun, are needed.",
    ),
    Calculation(
        id="surface-temperature",
        title="Inner surface temperature to expect from a U-value",
        inputs=(
            Amount("u-value", "U-value", "W/m²K", 0.05, 7),
            INSIDE,
            OUTSIDE,
            _resistance("resistance", "inner surface resistance at the place"),
            _resistance("quoted-with", "inner surface resistance within the U-value"),
            LIMIT,
        ),
        equation="U′ = 1/(1/U + Rsi − Rsi,quoted); f = 1 − Rsi·U′; θsi = θe + f·(θi − θe)",
        sources=(Cited("en-iso-6946"), _ISO_13788),
        valid="plane elements; corners, slab edges and lintels are colder, and there it must be measured",
        example="--u-value 2.1 --inside 20 --outside 2 --resistance 0.25",
        compute=_surface_temperature,
    ),
)
