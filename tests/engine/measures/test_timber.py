import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures.timber import moisture_of_reading, timber_facts
from engine.measures.wood import corrected_reading, equilibrium_moisture_content

INSTRUMENTS = [
    {"id": "pins", "mode": "pins", "scale": "wood-percent"},
    {"id": "capacitance", "mode": "capacitance", "scale": "wood-percent"},
    {"id": "relative", "mode": "pins", "scale": "relative", "full_scale": 100},
    {"id": "hygrometer", "mode": "hygrometer", "scale": "relative-humidity"},
]
FIRST = {"id": "first", "on": "2025-01-10", "instruments": INSTRUMENTS}
SECOND = {"id": "second", "on": "2025-06-10", "instruments": INSTRUMENTS}


def reading(name, value, item="joist", instrument="pins", **more):
    return {"id": name, "item": item, "instrument": instrument, "value": value, **more}


@pytest.fixture
def measured(area_case, parameters):
    def run(*readings, visits=(FIRST,), voided=frozenset(), **parts):
        case, area = area_case(list(visits), timber=list(readings), **parts)
        return timber_facts(case, area, parameters, voided)

    return run


def values(result):
    return {fact.attribute: fact.value for fact in result.facts}


def test_a_cold_joist_is_corrected_to_its_own_temperature(measured):
    facts = values(measured(reading("one", 20.0, temperature_c=8.0, species="redwood")))
    assert facts["timber-moisture-percent"] == pytest.approx(corrected_reading(20.0, 8.0))
    assert facts["timber-moisture-lower-percent"] < facts["timber-moisture-percent"]
    assert facts["timber-moisture-percent"] < facts["timber-moisture-upper-percent"]
    assert facts["timber-temperature-known"] == "yes"


def test_an_unknown_temperature_widens_the_band_and_lowers_the_sureness(measured):
    known = measured(reading("one", 20.0, temperature_c=14.0))
    unknown = measured(reading("one", 20.0))
    width = [
        values(r)["timber-moisture-upper-percent"] - values(r)["timber-moisture-lower-percent"]
        for r in (known, unknown)
    ]
    assert width[0] < width[1]
    sureness = {f.attribute: f.sureness.word for f in unknown.facts}
    assert sureness["timber-moisture-percent"] == "fairly-sure"
    assert {f.attribute: f.sureness.word for f in known.facts}["timber-moisture-percent"] == "certain"


def test_an_unknown_species_widens_the_band(parameters):
    widths = []
    for species in ("redwood", None, "oak"):
        _, lower, upper = moisture_of_reading((20.0,), 15.0, parameters, species=species)
        widths.append(upper - lower)
    assert widths[0] < widths[1] == widths[2]


def test_a_rule_base_may_give_a_species_its_own_correction(parameters):
    own = {**parameters, "timber-species-slope-oak": 1.1, "timber-species-offset-oak": -0.5}
    value, _, _ = moisture_of_reading((20.0,), 15.0, own, species="oak")
    assert value == pytest.approx(corrected_reading(20.0, 15.0, 1.1, -0.5))


@given(st.lists(st.floats(5, 40), min_size=1, max_size=5), st.none() | st.floats(0, 40))
def test_the_band_always_holds_the_value(values, temperature):
    numbers = {
        "timber-meter-tolerance": 2.0,
        "timber-species-tolerance": 3.0,
        "timber-temperature-assumed-least": 5.0,
        "timber-temperature-assumed-greatest": 23.0,
    }
    value, lower, upper = moisture_of_reading(tuple(values), temperature, numbers)
    assert 0 <= lower <= value <= upper


def test_scattered_presses_widen_the_band(parameters):
    _, steady_low, steady_high = moisture_of_reading((20.0, 20.0, 20.0), 15.0, parameters)
    _, scattered_low, scattered_high = moisture_of_reading((14.0, 20.0, 26.0), 15.0, parameters)
    assert scattered_low < steady_low < steady_high < scattered_high


def test_of_one_item_the_later_visit_wins_and_other_items_stay(measured):
    result = measured(
        reading("one", 27.0, "joist-end", visit="first", temperature_c=15.0),
        reading("two", 15.0, "joist-end", visit="second", temperature_c=15.0),
        reading("three", 18.0, "plate", visit="first", temperature_c=15.0),
        visits=(FIRST, SECOND),
    )
    facts = values(result)
    assert facts["timber-reading-count"] == 2
    assert facts["timber-moisture-percent"] == pytest.approx(corrected_reading(18.0, 15.0))


def test_capacitance_on_a_wood_scale_is_not_corrected_for_temperature(measured):
    assert values(measured(reading("one", 18.0, instrument="capacitance", temperature_c=5.0)))[
        "timber-moisture-percent"
    ] == pytest.approx(18.0)


def test_readings_of_a_voided_instrument_do_not_count(measured):
    assert measured(reading("one", 25.0), voided=frozenset({("first", "pins")})).facts == ()


@pytest.mark.parametrize(
    ("faulty", "doubt"),
    [
        (reading("one", 40.0, instrument="relative"), "reads a relative scale, which is not percent"),
        (reading("one", 40.0, instrument="hygrometer"), "hygrometer is no moisture meter for timber"),
        (reading("one", 20.0, temperature_c=-4.0), "frozen timber does not conduct"),
        (reading("one", 20.0, temperature_c=55.0), "is it Fahrenheit?"),
        (reading("one", 150.0), "150 is no percentage that such a meter shows"),
        (reading("one", 20.0, instrument="nobody"), "no instrument nobody on that visit"),
    ],
)
def test_each_unusable_reading_is_left_out_with_a_doubt_of_its_own(measured, faulty, doubt):
    result = measured(faulty)
    assert result.facts == ()
    assert any(doubt in text for text in result.doubts)


def test_a_reading_beyond_the_meters_range_is_said_to_be_so(measured):
    result = measured(reading("one", 45.0, temperature_c=15.0))
    assert any("above the range" in why for _, why in result.limits)
    assert {f.sureness.word for f in result.facts if f.attribute == "timber-moisture-percent"} == {"fairly-sure"}


def test_timber_far_wetter_than_the_mean_air_could_make_it_is_said_to_be_so(measured):
    mean = [{"temperature_c": 18.0, "humidity_percent": 55.0, "kind": "mean", "days": 14}]
    wet = measured(reading("one", 26.0, temperature_c=16.0, species="pine"), air=mean)
    assert values(wet)["timber-wetter-than-air"] == "yes"
    assert values(wet)["timber-equilibrium-percent"] == equilibrium_moisture_content(18.0, 55.0)
    dry = measured(reading("one", 7.5, temperature_c=16.0, species="pine"), air=mean)
    assert values(dry)["timber-wetter-than-air"] == "no"
    between = measured(reading("one", 13.0, temperature_c=16.0, species="pine"), air=mean)
    assert "timber-wetter-than-air" not in values(between)


def test_the_air_of_one_moment_gives_no_equilibrium(measured):
    spot = [{"temperature_c": 18.0, "humidity_percent": 55.0}]
    assert "timber-equilibrium-percent" not in values(measured(reading("one", 26.0), air=spot))
