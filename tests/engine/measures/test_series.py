import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.measures import series

START = np.datetime64("2025-01-01T00:00:00")


def hourly(count, hours=1):
    return START + np.arange(count) * np.timedelta64(hours * 3600, "s")


@settings(max_examples=30)
@given(st.lists(st.floats(-50, 150) | st.just(float("nan")), min_size=30, max_size=80), st.integers(2, 24))
def test_running_means_are_those_of_a_plain_loop(values, window):
    times, array = hourly(len(values)), np.array(values)
    got = series.running_mean(times, array, window / 24)
    for place in range(len(values)):
        part = array[max(0, place - window + 1) : place + 1]
        known = part[np.isfinite(part)]
        if place + 1 >= window and len(known) >= 0.8 * window:
            assert got[place] == pytest.approx(known.mean(), abs=1e-6)
        else:
            assert np.isnan(got[place])


def test_a_record_shorter_than_the_window_has_no_running_mean():
    assert series.highest_running_mean(hourly(100), np.full(100, 90.0), 7) is None
    assert series.highest_running_mean(hourly(168), np.full(168, 90.0), 7) == pytest.approx(90)


def test_spells_are_counted_and_a_gap_ends_one():
    holds = np.array([True, True, False, True, True, True])
    assert series.spells(hourly(6), holds) == series.Spells(2, 3.0)
    broken = hourly(6).copy()
    broken[4:] += np.timedelta64(5, "h")
    assert series.spells(broken, holds) == series.Spells(3, 2.0)
    assert series.spells(hourly(6), ~np.ones(6, bool)) == series.Spells(0, 0.0)


def test_length_and_interval_come_from_the_times():
    assert series.interval_hours(hourly(10, 2)) == 2
    assert series.length_days(hourly(48)) == 2
    assert series.length_days(hourly(1)) == 0
    with pytest.raises(ValueError, match="logged rows: found 1; allowed: 2 or more"):
        series.interval_hours(hourly(1))


def test_a_series_is_read_between_its_times_but_not_across_gaps():
    times, values = hourly(10), np.arange(10.0)
    half = times[:-1] + np.timedelta64(1800, "s")
    np.testing.assert_allclose(series.at_times(times, values, half), np.arange(9) + 0.5)
    values[3:7] = np.nan
    read = series.at_times(times, values, half)
    assert np.isnan(read[2:7]).all()
    assert np.isfinite(read[[0, 1, 7, 8]]).all()
    outside = np.array([times[0] - np.timedelta64(1, "h"), times[-1] + np.timedelta64(1, "h")])
    assert np.isnan(series.at_times(times, values, outside)).all()


def test_days_are_totalled_and_an_unfinished_day_is_left_out():
    days, rain = series.daily(hourly(60), np.ones(60), total=True)
    assert [str(day) for day in days] == ["2025-01-01", "2025-01-02", "2025-01-03"]
    assert rain[:2].tolist() == [24, 24]
    assert np.isnan(rain[2])


def wall(seed, days, lag, strength):
    """Rain in some spells, and a wall that rises ``lag`` days after it and dries again."""
    draw = np.random.default_rng(seed)
    rain = np.where(draw.random(days) < 0.3, draw.gamma(1.5, 5, days), 0.0)
    level = np.zeros(days)
    for day in range(1, days):
        wet = rain[day - lag] if day >= lag else 0.0
        level[day] = 0.8 * level[day - 1] + strength * wet + draw.normal(0, 1)
    return hourly(days, 24), rain, 60 + level


@pytest.mark.parametrize("lag", [0, 1, 3])
def test_a_wall_that_follows_the_rain_is_found_with_its_lag(lag):
    times, rain, level = wall(3, 120, lag, 1.0)
    response = series.rain_response(times, rain, times, level, 7, 28)
    assert response.lag_days == lag
    assert response.correlation > max(0.4, response.by_chance_below)


def test_rain_and_level_may_cover_different_days():
    times, rain, level = wall(3, 120, 1, 1.0)
    response = series.rain_response(times[:100], rain[:100], times[20:], level[20:], 7, 28)
    assert response.lag_days == 1
    assert response.days >= 75


def test_walls_that_ignore_the_rain_rarely_pass_for_following_it():
    passed = 0
    for seed in range(200):
        times, rain, level = wall(seed, 120, 0, 0.0)
        response = series.rain_response(times, rain, times, level, 7, 28)
        passed += response.correlation > response.by_chance_below
    assert passed <= 20  # chance is to give less than one in twenty, 10 of 200; 20 has odds of under 1 in 400


def test_too_short_a_record_and_too_little_rain_say_nothing():
    times, rain, level = wall(1, 20, 0, 1.0)
    assert series.rain_response(times, rain, times, level, 7, 28) is None
    times, rain, level = wall(1, 90, 0, 1.0)
    assert series.rain_response(times, np.zeros(90), times, level, 7, 28) is None
