"""Mould growth as single calculations."""

from __future__ import annotations

from collections.abc import Iterator

from engine.calculations.models import Amount, Calculation, Choice, Cited, Given, Result

TEMPERATURE = Amount("temperature", "surface temperature", "°C", 0, 50, above=True)
HUMIDITY = Amount("humidity", "relative humidity at the surface", "%", 0, 100)
SENSITIVITY = Amount(
    "sensitivity",
    "sensitivity: 1 very sensitive, 2 sensitive, 3 medium resistant, 4 resistant",
    "",
    1,
    4,
    whole=True,
    parameter="mould-sensitivity",
)
_SOURCES = (Cited("hukka-viitanen-1999"), Cited("ojanen-2010"))
_CRITICAL = "RHcrit = −0.00267·θ³ + 0.160·θ² − 3.13·θ + 100 up to 20 °C, 80 above, no lower than the material's floor"
_REAL_SURFACES = "Made on pine and spruce; paint, paste and soiling make real surfaces vary."


def _mould(given: Given) -> Iterator[Result]:
    from engine.measures.mould import (
        critical_humidity,
        greatest_index,
        sensitivity_class,
        weeks_to_first_growth,
        weeks_to_visible_growth,
    )

    celsius, humidity = given.number("temperature"), given.number("humidity")
    spruce, kiln_dried = given.word("wood") == "spruce", given.word("face") == "kiln-dried"
    material = sensitivity_class(given.number("sensitivity"))
    critical = critical_humidity(celsius, material.least_humidity)
    yield Result("critical-humidity", "humidity below which mould does not grow", critical, "%")
    grows = humidity >= critical
    yield Result("verdict", "at this humidity", "mould grows if it lasts" if grows else "no growth")
    if humidity >= critical_humidity(celsius):
        first = weeks_to_first_growth(celsius, humidity, spruce=spruce, kiln_dried=kiln_dried)
        visible = weeks_to_visible_growth(celsius, humidity, spruce=spruce)
        yield Result("weeks-to-first-growth", "to first growth on wood (index 1)", first, "weeks")
        yield Result("weeks-to-visible-growth", "to visible growth on wood (index 3)", visible, "weeks")
    if grows:
        top = greatest_index(celsius, humidity, material)
        yield Result("greatest-index", f"index it tends to on a {material.name} material", top, "of 6")


def _mould_index(given: Given) -> Iterator[Result]:
    import numpy as np

    from engine.measures.mould import mould_index, sensitivity_class

    hours = int(given.number("weeks") * 7 * 24)
    material = sensitivity_class(given.number("sensitivity"))
    air = (np.full(hours, given.number("temperature")), np.full(hours, given.number("humidity")))
    index = float(mould_index(*air, 1.0, material, start=given.number("start"))[-1])
    yield Result("mould-index", f"mould index on a {material.name} material", index, "of 6")
    said = next(words for least, words in ((3, "visible"), (1, "under the microscope"), (0, "none")) if index >= least)
    yield Result("growth", "growth", said)


CALCULATIONS = (
    Calculation(
        id="mould",
        title="Humidity that mould needs, and weeks to growth",
        inputs=(
            TEMPERATURE,
            HUMIDITY,
            Choice("wood", "pine or spruce", ("pine", "spruce"), default="pine"),
            Choice("face", "sawn or kiln-dried face of the wood", ("sawn", "kiln-dried"), default="sawn"),
            SENSITIVITY,
        ),
        equation=f"{_CRITICAL}; first growth exp(−0.68·ln θ − 13.9·ln RH + 0.14·W − 0.33·SQ + 66.02); visible growth "
        "exp(−0.74·ln θ − 12.72·ln RH + 0.06·W + 61.50); W 1 for spruce, SQ 1 for a kiln-dried face; "
        "index A + B·x − C·x², x = (RHcrit − RH)/(RHcrit − 100)",
        sources=_SOURCES,
        valid="constant climate, above 0 to 50 °C; weeks from the critical humidity to 100 %",
        example="--temperature 20 --humidity 90",
        compute=_mould,
        caution=_REAL_SURFACES,
    ),
    Calculation(
        id="mould-index",
        title="Mould index after weeks of a constant climate",
        inputs=(
            Amount("temperature", "surface temperature", "°C", -45, 60),
            HUMIDITY,
            Amount("weeks", "duration", "weeks", 1, 520),
            Amount("start", "index at the start", "of 6", 0, 6, default=0.0),
            SENSITIVITY,
        ),
        equation="growth k1·k2/(7·tm) a day, k2 = max(1 − exp(2.3·(M − Mmax)), 0); when too dry −0.032 a day for "
        "6 hours, nothing to 24 hours, then −0.016 a day, as on wood",
        sources=_SOURCES,
        valid="constant climate from 1 to 520 weeks, in steps of an hour",
        example="--temperature 18 --humidity 92 --weeks 12",
        compute=_mould_index,
        caution=_REAL_SURFACES,
    ),
)
