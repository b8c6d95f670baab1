"""Capillary rise, drying, and what guidance asks for, as single calculations."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from engine.calculations.models import Amount, Calculation, Cited, Given, Result

if TYPE_CHECKING:
    from engine.measures.rise import Wall

_WALL = (
    Amount("thickness", "wall thickness", "mm", 20, 2000),
    Amount("sorptivity", "sorptivity", "mm/min^½", 0.001, 10, default=1.0),
    Amount("evaporation", "evaporation, the sum of both faces", "mm/min", 0.000001, 0.02, default=0.001),
    Amount("water-content", "water content of the wet zone", "by volume", 0.001, 0.5, default=0.2),
)
_HALL_HOFF = (Cited("hall-hoff-2007"),)
_ORDERS = "orders of magnitude: gravity, soil suction, salts and joints are left out"
_BAND = Amount("band", "factor by which it may be shorter or longer", "", 1, 10, parameter="drying-band")
_REACH = {"within": "within reach", "possible": "only at the favourable end", "beyond": "beyond reach"}
_ENGLAND = "England; Scotland, Wales and Northern Ireland differ"


def _wall(given: Given) -> Wall:
    from engine.measures.rise import Wall

    return Wall(*(given.number(amount.name) for amount in _WALL))


def _rise(given: Given) -> Iterator[Result]:
    from engine.measures.rise import (
        height_after,
        plausible_height,
        residence_time,
        steady_height,
        stored_water,
        throughput,
        time_constant,
    )

    wall, observed, days = _wall(given), given.maybe("observed"), given.maybe("days")
    steady = steady_height(wall)
    said = plausible_height(
        wall,
        steady if observed is None else observed,
        given.parameters["rise-height-doubted"],
        given.number("span"),
    )
    yield Result("steady-height", "height that rise settles at", steady, "mm", 0, said.lowest_mm, said.highest_mm)
    if observed is not None:
        yield Result("plausibility", f"an observed {observed:g} mm is", _REACH[said.plausibility])
        if said.doubted:
            yield Result("doubted", "at that height", "look for another cause first")
    yield Result("time-constant", "time constant of the squared height", time_constant(wall), "days", 0)
    for time in (30.0, 365.0, 1825.0) if days is None else (days,):
        yield Result(f"height-after-{time:g}-days", f"height after {time:g} days", height_after(wall, time), "mm", 0)
    yield Result("stored-water", "water held in a metre run", stored_water(wall), "litres", 0)
    yield Result("throughput", "water through a metre run", throughput(wall), "litres/day", 2)
    yield Result("residence-time", "stored water over throughput", residence_time(wall), "days", 0)


def _rise_time(given: Given) -> Iterator[Result]:
    from math import isinf

    from engine.measures.rise import days_to_height, steady_height

    wall = _wall(given)
    days = days_to_height(wall, given.number("height"))
    if isinf(days):
        yield Result("days", "time to that height", "never: it lies at or above the height that rise settles at")
    else:
        yield Result("days", "time to that height", days, "days", 0)
    yield Result("steady-height", "height that rise settles at", steady_height(wall), "mm", 0)


def _drying(given: Given) -> Iterator[Result]:
    from engine.measures.drying import masonry_drying

    time = masonry_drying(
        given.number("thickness"), int(given.number("faces")), given.number("months-per-25-mm"), given.number("band")
    )
    yield Result("drying-time", "time to dry", time.typical, "months", 1, time.shortest, time.longest)


def _screed_drying(given: Given) -> Iterator[Result]:
    from engine.measures.drying import screed_drying

    time = screed_drying(given.number("thickness"), given.number("band"))
    yield Result("drying-time", "time to dry", time.typical, "days", 0, time.shortest, time.longest)


def _vents(given: Given) -> Iterator[Result]:
    from engine.measures.provisions import void_vent_area

    area = void_vent_area(given.number("wall-run"), given.number("floor-area"))
    yield Result("vent-area", "clear vent area of the void", area, "mm²", 0)


def _ventilation_rate(given: Given) -> Iterator[Result]:
    from engine.measures.provisions import whole_dwelling_rate

    rate = whole_dwelling_rate(int(given.number("bedrooms")), given.number("floor-area"))
    yield Result("ventilation-rate", "least whole-dwelling rate", rate, "l/s")


def _driving_rain_zone(given: Given) -> Iterator[Result]:
    from engine.measures.provisions import driving_rain_zone

    yield Result("zone", "driving-rain zone", driving_rain_zone(given.number("rain")).replace("-", " "))


CALCULATIONS = (
    Calculation(
        id="rise",
        title="Height and course of capillary rise, and whether it reaches an observed height",
        inputs=(
            *_WALL,
            Amount("observed", "observed height of dampness", "mm", 0, 100_000, optional=True),
            Amount("days", "time since rise began", "days", 0, 100_000, optional=True),
            Amount("span", "factor by which sorptivity and evaporation may differ", "", 1, 10, default=2.0),
        ),
        equation="hss = S·√(b/(2·e·θ)); h² = hss²·(1 − exp(−t/τ)); τ = b·θ/(2·e); stored θ·b·h; through e·h",
        sources=_HALL_HOFF,
        valid=_ORDERS,
        example="--thickness 225 --observed 900",
        compute=_rise,
        parameters=("rise-height-doubted",),
        caution="That rise could reach a height does not show that it did.",
    ),
    Calculation(
        id="rise-time",
        title="Time in which capillary rise reaches a height",
        inputs=(*_WALL, Amount("height", "height", "mm", 0, 100_000)),
        equation="t = −τ·ln(1 − (h/hss)²); hss = S·√(b/(2·e·θ)); τ = b·θ/(2·e)",
        sources=_HALL_HOFF,
        valid=_ORDERS,
        example="--thickness 225 --height 600",
        compute=_rise_time,
    ),
    Calculation(
        id="drying",
        title="Months for masonry to dry once its source has stopped",
        inputs=(
            Amount("thickness", "thickness", "mm", 10, 1000),
            Amount("faces", "faces that can dry", "", 1, 2, whole=True, default=1.0),
            Amount(
                "months-per-25-mm", "months for 25 mm", "months", 0, 24, above=True, parameter="drying-months-per-25-mm"
            ),
            _BAND,
        ),
        equation="thickness/faces/25 · months for 25 mm, divided and multiplied by the band",
        sources=(Cited("bre-digest-163"),),
        valid="a rule of thumb for good drying conditions: for planning, not for proof",
        example="--thickness 225 --faces 2",
        compute=_drying,
    ),
    Calculation(
        id="screed-drying",
        title="Days for a cement screed to dry from above",
        inputs=(Amount("thickness", "thickness", "mm", 10, 200), _BAND),
        equation="1 day per mm to 50 mm, 2 days per mm beyond, divided and multiplied by the band",
        sources=(Cited("bs-8203", "a day per mm to 50 mm"), Cited("common-practice")),
        valid="a rule of thumb: a covering waits for 75 % under a sealed hygrometer, not for the calendar",
        example="--thickness 65",
        compute=_screed_drying,
    ),
    Calculation(
        id="vents",
        title="Clear vent area of a suspended floor's void",
        inputs=(
            Amount("wall-run", "length of the vented walls together", "m", 0, 1000),
            Amount("floor-area", "floor area", "m²", 0, 10_000),
        ),
        equation="the greater of 1500 mm² per metre of vented wall and 500 mm² per m² of floor",
        sources=(Cited("approved-document-c"),),
        valid=_ENGLAND,
        example="--wall-run 14 --floor-area 48",
        compute=_vents,
        caution="An airbrick gives only part of its face as clear area.",
    ),
    Calculation(
        id="ventilation-rate",
        title="Least whole-dwelling ventilation rate",
        inputs=(
            Amount("bedrooms", "bedrooms", "", 1, 5, whole=True),
            Amount("floor-area", "floor area", "m²", 0, 10_000, above=True),
        ),
        equation="the greater of 19, 25, 31, 37, 43 l/s for one to five bedrooms and 0.3 l/s per m² of floor",
        sources=(Cited("approved-document-f"),),
        valid=f"one to five bedrooms; {_ENGLAND}",
        example="--bedrooms 3 --floor-area 90",
        compute=_ventilation_rate,
    ),
    Calculation(
        id="driving-rain-zone",
        title="Exposure zone of a wall by driving rain",
        inputs=(Amount("rain", "driving rain in the worst spell of about three years", "l/m²", 0, 500),),
        equation="sheltered below 33, moderate below 56.5, severe below 100 l/m², else very severe",
        sources=(Cited("bre-br-262", "", "from_memory"),),
        valid="United Kingdom",
        example="--rain 60",
        compute=_driving_rain_zone,
    ),
)
