import numpy as np
import pytest

from engine.errors import InvalidInput
from engine.measures.climate import climate_facts
from engine.measures.loggers import read_loggers
from engine.measures.psychrometrics import vapour_pressure
from engine.measures.timber import timber_facts

START = np.datetime64("2025-01-01T00:00:00")


def write(folder, name, columns, days=40, step_minutes=60):
    count = days * 24 * 60 // step_minutes
    hours = np.arange(count) * step_minutes / 60
    times = START + (hours * 3600).astype("timedelta64[s]")
    values = [np.broadcast_to(np.asarray(make(hours)), count) for make in columns.values()]
    lines = [",".join(["time", *columns])]
    lines += [",".join([str(time), *(f"{value[i]:.3f}" for value in values)]) for i, time in enumerate(times)]
    (folder / name).write_text("\n".join(lines))


def steady(value):
    return lambda hours: np.full(len(hours), float(value))


@pytest.fixture
def measured(area_case, parameters, tmp_path):
    def run(*kinds, facts=climate_facts, folder=tmp_path, **parts):
        loggers = [{"id": f"{kind}-logger", "kind": kind, "file": f"{kind}.csv"} for kind in kinds]
        case, area = area_case(loggers=loggers, **parts)
        read = read_loggers(area, folder, parameters["logged-days-at-least"])
        return facts(case, area, parameters, loggers=read)

    return run


def values(result):
    return {fact.attribute: fact.value for fact in result.facts}


def test_a_cold_humid_surface_is_logged(measured, tmp_path):
    write(tmp_path, "room-air.csv", {"temperature": steady(19), "humidity": steady(62)})
    write(tmp_path, "surface.csv", {"temperature": steady(13)})
    write(tmp_path, "outside-air.csv", {"temperature": steady(3), "humidity": steady(85)})
    result = measured("room-air", "surface", "outside-air")
    facts = values(result)
    expected = 100 * vapour_pressure(19.0, 62.0) / vapour_pressure(13.0, 100.0)
    assert facts["surface-climate-kind"] == "logged"
    assert facts["surface-humidity-percent"] == pytest.approx(expected, abs=0.01)
    assert facts["humidity-above-limit-share"] == 1
    assert facts["dew-hours-share"] == 0
    assert facts["dew-events"] == 0
    assert facts["surface-humidity-verdict"] == "above"
    assert facts["room-humidity-verdict"] == "within"
    assert facts["room-humidity-kind"] == "mean"
    assert facts["temperature-factor"] == pytest.approx(10 / 16)
    assert facts["temperature-factor-verdict"] == "below"
    assert facts["vapour-excess-pa"] == pytest.approx(vapour_pressure(19.0, 62.0) - vapour_pressure(3.0, 85.0), abs=0.1)
    assert facts["mould-index"] > 0
    assert {fact.sureness.word for fact in result.facts} == {"certain"}


def test_dew_is_counted_in_hours_and_spells(measured, tmp_path):
    night = lambda hours: np.where(hours % 24 < 6, 8.0, 18.0)  # noqa: E731
    write(tmp_path, "room-air.csv", {"temperature": steady(19), "humidity": steady(60)})
    write(tmp_path, "surface.csv", {"temperature": night})
    facts = values(measured("room-air", "surface"))
    assert facts["dew-hours-share"] == pytest.approx(0.25, abs=0.01)
    assert facts["dew-events"] == 40
    assert facts["dew-point-margin-k"] < 0


def test_a_logged_surface_leaves_the_snapshot_to_the_views(measured, tmp_path):
    write(tmp_path, "room-air.csv", {"temperature": steady(19), "humidity": steady(50)})
    write(tmp_path, "surface.csv", {"temperature": steady(17)})
    parts = {
        "visits": [{"id": "first", "on": "2025-01-10", "outside": {"temperature_c": 2, "humidity_percent": 85}}],
        "air": [{"temperature_c": 19.0, "humidity_percent": 70.0}],
        "surface_temperatures": [{"temperature_c": 12.0}],
    }
    result = measured("room-air", "surface", **parts)
    assert values(result)["surface-climate-kind"] == "logged"
    assert values(result)["surface-humidity-percent"] < 70
    assert "temperature-factor" not in values(result)
    assert result.snapshot is not None
    assert result.snapshot.surface_c == 12


def test_a_surface_with_its_own_humidity_needs_no_room_air(measured, tmp_path):
    write(tmp_path, "surface.csv", {"temperature": steady(12), "humidity": steady(88)})
    assert values(measured("surface"))["surface-humidity-percent"] == pytest.approx(88)


def test_a_short_record_is_named_and_counts_for_nothing(measured, tmp_path):
    write(tmp_path, "room-air.csv", {"temperature": steady(19), "humidity": steady(90)}, days=3)
    result = measured("room-air")
    assert result.facts == ()
    why = "its record of 3.0 days is shorter than the 7 that count as logged"
    assert ("logger room-air-logger", why) in result.limits


def test_without_a_folder_the_files_are_named_as_not_read(measured):
    result = measured("room-air", folder=None)
    assert result.facts == ()
    assert ("logger room-air-logger", "its file was not read, for the case has no folder") in result.limits


def test_the_faults_of_all_files_are_raised_together(measured, tmp_path):
    (tmp_path / "room-air.csv").write_text("time,temperature,humidity\n2025-01-01 00:00,warm,60\n")
    with pytest.raises(InvalidInput) as caught:
        measured("room-air", "surface")
    assert {problem.file for problem in caught.value.problems} == {"room-air.csv", "surface.csv"}


def test_a_void_is_given_by_its_mean(measured, tmp_path):
    write(
        tmp_path, "void-air.csv", {"temperature": steady(8), "humidity": lambda h: 90 + 4 * np.sin(h / 24 * 2 * np.pi)}
    )
    assert values(measured("void-air"))["void-humidity-percent"] == pytest.approx(90, abs=0.01)


def test_logged_timber_gives_its_time_above_the_caution_level(measured, tmp_path):
    write(tmp_path, "timber.csv", {"moisture": lambda hours: np.where(hours < 240, 24.0, 16.0)})
    write(tmp_path, "void-air.csv", {"temperature": steady(8), "humidity": steady(88)})
    facts = values(measured("timber", "void-air", facts=timber_facts))
    assert facts["timber-above-caution-share"] == pytest.approx(0.25)
    assert facts["timber-longest-spell-days"] == pytest.approx(10)
    assert facts["timber-equilibrium-percent"] == pytest.approx(20, abs=0.5)


@pytest.mark.parametrize(("strength", "response"), [(0.6, "follows"), (0.0, "no-response")])
def test_logged_timber_is_held_against_logged_rain(measured, tmp_path, strength, response):
    days = 400
    draw = np.random.default_rng(5)
    rain = np.where(draw.random(days) < 0.3, draw.gamma(1.5, 5, days), 0.0)
    level = np.zeros(days)
    for day in range(1, days):
        level[day] = 0.8 * level[day - 1] + strength * rain[day - 1] + draw.normal(0, 1)
    by_day = lambda array: lambda hours: array[(hours // 24).astype(int)]  # noqa: E731
    write(tmp_path, "rain.csv", {"rain": by_day(rain / 24)}, days)
    write(tmp_path, "timber.csv", {"moisture": by_day(20 + level / 4)}, days)
    facts = values(measured("rain", "timber"))
    assert facts["rain-response"] == response
    assert facts.get("rain-lag-days") == (1 if response == "follows" else None)
