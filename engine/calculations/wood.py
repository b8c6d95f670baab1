"""Wood as single calculations: readings corrected, equilibrium with the air, resistance."""

from __future__ import annotations

from collections.abc import Iterator

from engine.calculations.models import Amount, Calculation, Choice, Cited, Given, Result

WOOD_TEMPERATURE = Amount("temperature", "temperature of the wood", "°C", 0, 40)
AIR_TEMPERATURE = Amount("temperature", "air temperature", "°C", -1.2, 130)
MOISTURE = Amount("moisture", "moisture content", "% of dry mass", 0, 200)
_LEVELS = ("timber-elevated", "timber-caution", "fibre-saturation")
_PFAFF = Cited("pfaff-garrahan-1986")
_EMC = (
    "EMC = 1800/W·[K·h/(1 − K·h) + (K1·K·h + 2·K1·K2·K²·h²)/(1 + K1·K·h + K1·K2·K²·h²)], h = RH/100; "
    "W = 349 + 1.29·θ + 0.0135·θ², K = 0.805 + 0.000736·θ − 0.00000273·θ², "
    "K1 = 6.27 − 0.00938·θ − 0.000303·θ², K2 = 1.91 + 0.0407·θ − 0.000293·θ²"
)
_EMC_SOURCES = (Cited("simpson-1998"), Cited("wood-handbook", "equation 4-5"))
_CORRECTION = (
    "MC = {[R + 0.567 − 0.0260·T + 0.000051·T²]/[0.881·1.0056^T] − b}/a; a = 1, b = 0 unless a species has its own"
)
_NOT_MASONRY = "Only a reading in timber is percent of water; on masonry the same scale is relative."


def _timber(given: Given) -> Iterator[Result]:
    from engine.measures.timber import moisture_of_reading

    read, p = given.numbers["reading"], given.parameters
    value, lower, upper = moisture_of_reading(
        read,
        given.maybe("temperature"),
        p,
        species=given.word("species"),
        resistance=given.word("mode") == "pins",
    )
    yield Result("timber-moisture", "moisture content, corrected", value, "% of dry mass", lower=lower, upper=upper)
    for name, said in zip(_LEVELS, ("find the reason above", "caution level", "fibre saturation"), strict=True):
        level = p[name]
        verdict = "below" if upper < level else "above" if lower >= level else "undecided"
        yield Result(name, f"against {level:g} % ({said})", verdict)
    middle = sorted(read)[len(read) // 2]
    if not p["timber-scale-least"] <= middle <= p["timber-scale-greatest"]:
        span = f"{p['timber-scale-least']:g} to {p['timber-scale-greatest']:g} %"
        yield Result("scale", "the reading itself", f"outside {span}, in which such meters are quantitative")


def _timber_reading(given: Given) -> Iterator[Result]:
    from engine.measures.wood import reading_of_moisture

    reading = reading_of_moisture(given.number("moisture"), given.number("temperature"))
    yield Result("reading", "what a resistance meter would read", reading, "%")


def _wood_equilibrium(given: Given) -> Iterator[Result]:
    from engine.measures.wood import equilibrium_moisture_content

    moisture = equilibrium_moisture_content(given.number("temperature"), given.number("humidity"))
    tolerance = given.parameters["timber-equilibrium-tolerance"]
    yield Result(
        "equilibrium-moisture",
        "moisture content to which wood comes",
        moisture,
        "% of dry mass",
        lower=max(0.0, moisture - tolerance),
        upper=moisture + tolerance,
    )


def _wood_humidity(given: Given) -> Iterator[Result]:
    from engine.measures.wood import humidity_of_equilibrium

    humidity = humidity_of_equilibrium(given.number("temperature"), given.number("moisture"))
    yield Result("relative-humidity", "humidity with which the wood is in equilibrium", humidity, "%")


def _moisture_of_resistance(given: Given) -> Iterator[Result]:
    from engine.measures.wood import moisture_of_resistance

    yield Result("moisture", "moisture content", moisture_of_resistance(given.number("resistance")), "% of dry mass")


def _resistance_of_moisture(given: Given) -> Iterator[Result]:
    from engine.measures.wood import resistance_of_moisture

    megohm = resistance_of_moisture(given.number("moisture")) / 1e6
    yield Result("resistance", "resistance between the pins", megohm, "MΩ", 2)


_DOUGLAS_FIR = "Douglas-fir near 25 °C, pins 31 mm apart and 8 mm deep"

CALCULATIONS = (
    Calculation(
        id="timber",
        title="A timber reading corrected for temperature and species, with its band",
        inputs=(
            Amount("reading", "meter reading in timber", "%", 0, 100, many=True),
            Amount("temperature", "temperature of the wood", "°C", 0, 40, optional=True),
            Choice("species", "species named in the rule base", named_by="timber-species-tolerance-", optional=True),
            Choice("mode", "pins or capacitance; only pins are corrected", ("pins", "capacitance"), default="pins"),
        ),
        equation=f"{_CORRECTION}; R the median of the readings; band = √(meter² + species² + (half their spread)²), "
        "and the ends of the likely temperatures where it was not taken",
        sources=(_PFAFF, Cited("james-1988")),
        valid="pins in thawed timber of 0 to 40 °C, on a wood scale; quantitative from about 7 to 28 %",
        example="--reading 19 --temperature 8 --species softwood",
        compute=_timber,
        parameters=(
            *_LEVELS,
            "timber-meter-tolerance",
            "timber-species-tolerance",
            "timber-species-tolerance-{species}",
            "timber-temperature-assumed-least",
            "timber-temperature-assumed-greatest",
            "timber-scale-least",
            "timber-scale-greatest",
        ),
        caution="One reading above the caution level is not decay; one below does not show that hidden ends are sound.",
    ),
    Calculation(
        id="timber-reading",
        title="What a meter would read in timber of a known moisture content",
        inputs=(MOISTURE, WOOD_TEMPERATURE),
        equation="the correction of a reading, solved for R",
        sources=(_PFAFF,),
        valid="thawed timber of 0 to 40 °C on the species scale of the meter",
        example="--moisture 20 --temperature 8",
        compute=_timber_reading,
        caution=_NOT_MASONRY,
    ),
    Calculation(
        id="wood-equilibrium",
        title="Moisture content to which wood comes in air",
        inputs=(AIR_TEMPERATURE, Amount("humidity", "relative humidity", "%", 0, 100)),
        equation=_EMC,
        sources=_EMC_SOURCES,
        valid="-1.2 to 130 °C; extrapolated above 95 % humidity; hysteresis and species each move it by a point",
        example="--temperature 10 --humidity 85",
        compute=_wood_equilibrium,
        parameters=("timber-equilibrium-tolerance",),
        caution="It is reached over weeks: air of one moment says little.",
    ),
    Calculation(
        id="wood-humidity",
        title="Humidity of the air with which wood is in equilibrium",
        inputs=(AIR_TEMPERATURE, MOISTURE),
        equation=f"{_EMC}; solved for RH by bisection",
        sources=_EMC_SOURCES,
        valid="up to the moisture content of saturated air; more than that only liquid water can have brought",
        example="--temperature 10 --moisture 18",
        compute=_wood_humidity,
    ),
    Calculation(
        id="moisture-of-resistance",
        title="Moisture content of wood from the resistance between pins",
        inputs=(Amount("resistance", "resistance between the pins", "Ω", 1e5, 1e11),),
        equation="log10(MC) = 2.99 − 2.113·log10(log10 R)",
        sources=(Cited("straube-2002"),),
        valid=f"{_DOUGLAS_FIR}; about 7 to 30 %",
        example="--resistance 1e8",
        compute=_moisture_of_resistance,
        caution=_NOT_MASONRY,
    ),
    Calculation(
        id="resistance-of-moisture",
        title="Resistance between pins in wood of a moisture content",
        inputs=(Amount("moisture", "moisture content", "% of dry mass", 1, 100),),
        equation="log10(MC) = 2.99 − 2.113·log10(log10 R), solved for R",
        sources=(Cited("straube-2002"),),
        valid=f"{_DOUGLAS_FIR}; about 7 to 30 %, refused where R would lie outside 1e5 to 1e11 Ω",
        example="--moisture 15",
        compute=_resistance_of_moisture,
    ),
)
