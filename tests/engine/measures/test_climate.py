import pytest

from engine.measures.climate import climate_facts
from engine.measures.psychrometrics import dew_point, vapour_pressure


def visit(name="first", on="2025-01-10", outside=None, instruments=()):
    data = {"id": name, "on": on, "instruments": list(instruments)}
    if outside is not None:
        data["outside"] = dict(zip(("temperature_c", "humidity_percent"), outside, strict=False))
    return data


def air(celsius, percent, **more):
    return {"temperature_c": celsius, "humidity_percent": percent, **more}


def surface(celsius, **more):
    return {"temperature_c": celsius, **more}


@pytest.fixture
def measured(area_case, parameters):
    def run(visits=None, voided=frozenset(), **parts):
        case, area = area_case(visits, **parts)
        return climate_facts(case, area, parameters, voided)

    return run


def values(result):
    return {fact.attribute: fact.value for fact in result.facts}


def test_a_cold_surface_in_humid_air_is_measured_against_its_own_visit(measured):
    result = measured(
        [visit(outside=(2.0, 85.0))], air=[air(19.0, 62.0)], surface_temperatures=[surface(11.9), surface(15.0)]
    )
    facts = values(result)
    assert facts["dew-point-margin-k"] == pytest.approx(11.9 - dew_point(19.0, 62.0))
    assert facts["surface-humidity-percent"] == pytest.approx(98, abs=0.5)
    assert facts["surface-climate-kind"] == "snapshot"
    assert facts["temperature-factor"] == pytest.approx((11.9 - 2) / 17)
    assert facts["temperature-factor-verdict"] == "below"
    assert facts["humidity-class"] == "class-4"
    assert result.doubts == ()


def test_spot_values_are_labelled_and_no_surer_than_fairly_sure(measured):
    result = measured([visit(outside=(2.0, 85.0))], air=[air(19.0, 62.0)], surface_temperatures=[surface(11.9)])
    labels = {"surface-climate-kind", "room-humidity-kind"}
    assert {fact.sureness.word for fact in result.facts if fact.attribute not in labels} == {"fairly-sure"}
    assert values(result)["room-humidity-kind"] == "spot"


def test_a_mean_over_days_comes_before_spot_values_and_counts_as_mean(measured):
    result = measured(
        air=[air(22.0, 40.0), air(18.0, 66.0, kind="mean", days=14), air(19.0, 70.0, kind="mean", days=3)]
    )
    facts = values(result)
    assert facts["room-humidity-percent"] == 66
    assert facts["room-humidity-kind"] == "mean"


def test_the_later_visit_wins_with_its_own_outside_air(measured):
    visits = [visit("first", "2025-01-10", (0.0, 90.0)), visit("second", "2025-03-10", (8.0, 70.0))]
    result = measured(
        visits,
        air=[air(20.0, 70.0, visit="first"), air(20.0, 50.0, visit="second")],
        surface_temperatures=[surface(10.0, visit="first"), surface(17.0, visit="second")],
    )
    facts = values(result)
    assert facts["room-humidity-percent"] == 50
    assert facts["vapour-excess-pa"] == pytest.approx(vapour_pressure(20.0, 50.0) - vapour_pressure(8.0, 70.0))
    assert facts["temperature-factor"] == pytest.approx(9 / 12)
    assert facts["temperature-factor-verdict"] == "undecided"


def test_the_order_of_the_parts_changes_nothing(measured):
    parts = {
        "air": [air(19.0, 62.0), air(20.0, 58.0), air(19.5, 60.0)],
        "surface_temperatures": [surface(12.0, place="corner"), surface(14.0, place="wall"), surface(12.5)],
    }
    backwards = {name: part[::-1] for name, part in parts.items()}
    visits = [visit(outside=(2.0, 85.0))]
    assert measured(visits, **parts) == measured(visits, **backwards)


def test_no_factor_is_given_when_inside_and_outside_are_too_alike(measured):
    result = measured([visit(outside=(12.0, 80.0))], air=[air(19.0, 55.0)], surface_temperatures=[surface(16.0)])
    assert "temperature-factor" not in values(result)
    assert ("temperature factor", "inside was 7.0 K warmer than outside; it needs 10 K or more") in result.limits


def test_what_was_not_taken_outside_is_a_limit_and_not_a_guess(measured):
    result = measured([visit(outside=(2.0,))], air=[air(19.0, 60.0)], surface_temperatures=[surface(14.0)])
    facts = values(result)
    assert "vapour-excess-pa" not in facts
    assert "humidity-class" not in facts
    assert "temperature-factor" in facts
    assert ("vapour excess", "outside humidity was not taken on visit first") in result.limits


def test_no_class_is_given_on_a_summer_day(measured):
    result = measured([visit(outside=(22.0, 60.0))], air=[air(24.0, 60.0)])
    assert "humidity-class" not in values(result)
    assert any("20 °C outside" in why for _, why in result.limits)


def test_a_surface_thermometers_own_tolerance_decides(measured):
    visits = [visit(outside=(0.0, 85.0), instruments=[
        {"id": "infrared", "mode": "surface-thermometer", "scale": "celsius", "tolerance": 2.0}
    ])]  # fmt: skip
    parts = {"air": [air(20.0, 50.0)]}
    plain = measured(visits, surface_temperatures=[surface(16.8)], **parts)
    by_instrument = measured(visits, surface_temperatures=[surface(16.8, instrument="infrared")], **parts)
    stated = measured(visits, surface_temperatures=[surface(16.8, instrument="infrared", tolerance_k=0.1)], **parts)
    assert values(plain)["temperature-factor-verdict"] == "above"
    assert values(by_instrument)["temperature-factor-verdict"] == "undecided"
    assert values(stated)["temperature-factor-verdict"] == "above"


def test_readings_of_a_voided_instrument_do_not_count(measured):
    visits = [visit(instruments=[{"id": "hygrometer", "mode": "hygrometer", "scale": "relative-humidity"}])]
    parts = {"air": [air(19.0, 62.0, instrument="hygrometer")], "surface_temperatures": [surface(12.0)]}
    assert "dew-point-margin-k" in values(measured(visits, **parts))
    assert values(measured(visits, frozenset({("first", "hygrometer")}), **parts)) == {}


def test_nothing_taken_gives_no_facts_no_doubts_and_no_limits(measured):
    result = measured()
    assert (result.facts, result.doubts, result.limits) == ((), (), ())


@pytest.mark.parametrize(
    ("parts", "doubt"),
    [
        ({"air": [air(59.0, 50.0)]}, "59 °C is warmer than a room is likely to be; is it Fahrenheit?"),
        ({"air": [air(20.0, 0.6)]}, "a humidity of 0.6 % reads like a fraction; is percent meant?"),
        ({"air": [air(20.0, 4.0)]}, "a humidity of 4 % is drier than a room is likely to be"),
        ({"air": [air(20.0, 50.0)], "surface_temperatures": [surface(55.0)]}, "55 °C is 35 K warmer than the room air"),
        (
            {"air": [air(20.0, 50.0)], "surface_temperatures": [surface(-6.0)]},
            "-6 °C is colder than both the room and the outside air",
        ),
        (
            {"air": [air(20.0, 50.0)], "surface_temperatures": [surface(24.0)]},
            "lies outside the span from outside air to room air",
        ),
        ({"air": [air(20.0, 50.0, kind="mean", days=7)]}, "a mean over days inside is set against one moment outside"),
    ],
)
def test_each_unlikely_input_gets_a_doubt_of_its_own(measured, parts, doubt):
    result = measured([visit(outside=(2.0, 85.0))], **parts)
    assert any(doubt in text for text in result.doubts), result.doubts
