"""Drilled samples and salts as single calculations."""

from __future__ import annotations

from collections.abc import Iterator

from engine.calculations.models import Amount, Calculation, Choice, Cited, Given, Result

IONS = ("nitrate", "chloride", "sulphate", "ammonium")
SALTS = (
    "calcium-chloride",
    "magnesium-chloride",
    "potassium-carbonate",
    "calcium-nitrate",
    "magnesium-nitrate",
    "sodium-bromide",
    "ammonium-nitrate",
    "sodium-nitrate",
    "sodium-chloride",
    "ammonium-chloride",
    "ammonium-sulphate",
    "potassium-chloride",
    "magnesium-sulphate",
    "sodium-sulphate",
    "potassium-nitrate",
    "potassium-sulphate",
    "gypsum",
)
"""The salts of `engine.measures.salts`, named here so that help need not load them."""

_BRE_245 = Cited("bre-digest-245", "Appendix A")
_FORMULAE = Cited("bre-digest-245", "Appendix A, formulae", "from_memory")
_SALT_SOURCES = (Cited("greenspan-1977"), Cited("wexler-crc"))
_DRY, _WET = "% of dry mass", "% of wet mass"


def _gravimetric(given: Given) -> Iterator[Result]:
    from engine.measures.gravimetric import free_water, moisture_content, moisture_content_wet_basis

    wet, dry, conditioned = given.number("wet"), given.number("dry"), given.maybe("conditioned")
    p = given.parameters
    found = moisture_content(wet, dry)
    yield Result("moisture", "moisture as found", found, _DRY)
    yield Result("moisture-wet-basis", "the same, wet basis", moisture_content_wet_basis(wet, dry), _WET)
    if dry < p["sample-mass-least"]:
        yield Result("mass", "the sample", f"lighter than the {p['sample-mass-least']:g} g that weighing needs")
    if conditioned is None:
        yield Result("free-water", "free water", "not known without the mass at 75 % relative humidity")
        return
    hygroscopic, free = moisture_content(conditioned, dry), free_water(wet, conditioned, dry)
    yield Result("hygroscopic-moisture", "hygroscopic moisture at 75 % relative humidity", hygroscopic, _DRY)
    error = p["weighing-error"] * max(1.0, p["sample-mass-least"] / dry)
    yield Result("free-water", "free water", free, _DRY, lower=free - error, upper=free + error)
    verdict = (
        "free water" if free > error else "low" if max(found, hygroscopic) < p["low-moisture"] else "hygroscopic only"
    )
    yield Result("verdict", "beyond the weighing error", verdict)


def _carbide(given: Given) -> Iterator[Result]:
    from engine.measures.gravimetric import wet_to_dry_basis

    yield Result("moisture", "moisture content", wet_to_dry_basis(given.number("reading")), _DRY)


def _wet_basis(given: Given) -> Iterator[Result]:
    from engine.measures.gravimetric import dry_to_wet_basis

    yield Result("moisture-wet-basis", "moisture content", dry_to_wet_basis(given.number("moisture")), _WET)


def _salt_load(given: Given) -> Iterator[Result]:
    from engine.measures.ion_loads import load_band

    ion = given.word("ion")
    low, high = given.parameters[f"{ion}-low-limit"], given.parameters[f"{ion}-high-limit"]
    yield Result("band", f"load of {ion}", load_band(given.number("mass"), low, high))
    yield Result("low-limit", "medium from", low, _DRY, 2)
    yield Result("high-limit", "high from", high, _DRY, 2)


def _salt(given: Given) -> Iterator[Result]:
    from engine.measures.salts import behaviour_in_room, salts_of

    ions, celsius, humidity = given.words["ion"], given.number("temperature"), given.number("humidity")
    behaviour = behaviour_in_room(ions, celsius, humidity)
    yield Result("behaviour", "salts of these ions", (behaviour or "").replace("-", " "))
    for salt in salts_of(ions):
        nearest = min(max(celsius, salt.least), salt.greatest)
        note = salt.source if nearest == celsius else f"{salt.source}; at {nearest:g} °C, the end of its range"
        yield Result(
            salt.name.replace(" ", "-"), f"{salt.name} takes up water from", salt.humidity(nearest), "%", note=note
        )


def _deliquescence(given: Given) -> Iterator[Result]:
    from engine.measures.salts import SALTS as TABLE

    salt = TABLE[(given.word("salt") or "").replace("-", " ")]
    value = salt.humidity(given.number("temperature"))
    yield Result("deliquescence", f"{salt.name} takes up water from", value, "%", note=salt.source)


def _salt_water(given: Given) -> Iterator[Result]:
    from engine.measures.salts import water_drawn_by_sodium_chloride

    drawn = water_drawn_by_sodium_chloride(given.number("humidity"))
    yield Result("water", "water drawn by a gram of sodium chloride", drawn, "g", 2)


def _mass(name: str, title: str, *, optional: bool = False) -> Amount:
    return Amount(name, title, "g", 0.001, 100_000, optional=optional)


_LIMITED = ("nitrate", "chloride", "sulphate")

CALCULATIONS = (
    Calculation(
        id="gravimetric",
        title="Moisture of a weighed sample: wet and dry basis, hygroscopic, free water",
        inputs=(
            _mass("wet", "mass as found"),
            _mass("dry", "mass oven-dry"),
            _mass("conditioned", "mass at 75 % relative humidity", optional=True),
        ),
        equation="dry basis 100·(Ww − Wd)/Wd; wet basis 100·(Ww − Wd)/Ww; free water = as found − hygroscopic",
        sources=(_BRE_245, _FORMULAE),
        valid="masses at or above the oven-dry mass; samples of 2 g or more weighed to 0.01 g",
        example="--wet 21.4 --dry 20.1 --conditioned 20.3",
        compute=_gravimetric,
        parameters=("weighing-error", "sample-mass-least", "low-moisture"),
        caution="The mass as found alone does not part free water from what salts hold.",
    ),
    Calculation(
        id="carbide",
        title="Moisture, dry basis, from a carbide meter's reading",
        inputs=(Amount("reading", "carbide reading, wet basis", _WET, 0, 95),),
        equation="100·w/(100 − w)",
        sources=(_FORMULAE,),
        valid="0 to 95 % of wet mass",
        example="--reading 5",
        compute=_carbide,
        caution="It is the total: what salts hold counts with it.",
    ),
    Calculation(
        id="wet-basis",
        title="Percent of dry mass as percent of wet mass",
        inputs=(Amount("moisture", "moisture content", _DRY, 0, 1900),),
        equation="100·d/(100 + d)",
        sources=(_FORMULAE,),
        valid="0 to 1900 % of dry mass",
        example="--moisture 5.26",
        compute=_wet_basis,
    ),
    Calculation(
        id="salt",
        title="What the salts of ions found do at a room's humidity",
        inputs=(
            Choice("ion", "ion found", IONS, many=True),
            Amount("temperature", "room temperature", "°C", 0, 50),
            Amount("humidity", "room relative humidity", "%", 0, 100),
        ),
        equation="at or above the highest deliquescence humidity of one ion's salts it takes up water; "
        "below the lowest of any no pure salt does",
        sources=_SALT_SOURCES,
        valid="0 to 50 °C; counter-ions are not known, so this goes by all common salts of the ions",
        example="--ion nitrate --ion chloride --temperature 18 --humidity 70",
        compute=_salt,
        caution="A mixture takes up water below any single one of its salts.",
    ),
    Calculation(
        id="deliquescence",
        title="Humidity at which a pure salt takes up water",
        inputs=(
            Choice("salt", "salt", SALTS),
            Amount("temperature", "temperature", "°C", 0, 50, default=20.0),
        ),
        equation="fits or straight lines between measured values, each in its own range of temperature",
        sources=_SALT_SOURCES,
        valid="the salt's own range, at widest 0 to 50 °C; an upper bound in a mixture",
        example="--salt sodium-chloride",
        compute=_deliquescence,
    ),
    Calculation(
        id="salt-load",
        title="Load band of an ion by its mass",
        inputs=(Choice("ion", "ion", _LIMITED), Amount("mass", "mass of the ion", _DRY, 0, 100)),
        equation="none at 0; low below the low limit; high from the high limit; medium between",
        sources=(Cited("wta-2-9-04"),),
        valid="masonry and plaster; no bands by mass are published for ammonium",
        example="--ion nitrate --mass 0.2",
        compute=_salt_load,
        parameters=("{ion}-low-limit", "{ion}-high-limit"),
    ),
    Calculation(
        id="salt-water",
        title="Water that sodium chloride draws from the air",
        inputs=(Amount("humidity", "relative humidity", "%", 76, 96.6),),
        equation="1000/(m·58.44), the molality m by straight lines between published water activities",
        sources=(Cited("robinson-stokes"),),
        valid="76 to 96.6 %, near 25 °C",
        example="--humidity 85",
        compute=_salt_water,
    ),
)
