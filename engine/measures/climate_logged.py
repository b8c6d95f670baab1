"""What loggers say of the climate: the room's load of vapour, and surfaces hour by hour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engine.measures.humidity_load import VapourExcess
from engine.measures.loggers import Logged, Loggers
from engine.measures.mould import mould_index, sensitivity_class
from engine.measures.psychrometrics import (
    absolute_humidity,
    dew_point_of_vapour_pressure,
    saturation_vapour_pressure,
    vapour_pressure,
)
from engine.measures.ranges import FloatArray
from engine.measures.series import (
    RainResponse,
    at_times,
    highest_running_mean,
    interval_hours,
    rain_response,
    share_of_time,
    spells,
)
from engine.measures.temperature_factor import TemperatureFactor, temperature_factor

WINDOWS = {"day": 1.0, "week": 7.0, "month": 30.0}
"""Windows of the running means [days]."""

MARGIN_PERCENTILE = 5
"""The logged dew-point margin is the one that the surface keeps for the other 95 % of the time."""


@dataclass(frozen=True, slots=True)
class LoggedRoom:
    """Means of a room-air logger over its record, its highest running means, and its excess over outside air."""

    logger: str
    days: float
    temperature_c: float
    humidity_percent: float
    highest_means: tuple[tuple[str, float], ...]
    excess: VapourExcess | None
    outside_c: float | None


@dataclass(frozen=True, slots=True)
class LoggedSurface:
    """A surface over a record: margin [K] kept for 95 % of the time, humidity [%], dew, mould, factor."""

    logger: str
    days: float
    margin_k: float
    humidity_percent: float
    highest_means: tuple[tuple[str, float], ...]
    share_above_limit: float
    dew_share: float
    dew_spells: int
    mould_index: float | None
    factor: TemperatureFactor | None


def logged_room(loggers: Loggers, parameters: Mapping[str, float]) -> LoggedRoom | None:
    """The longest room-air record with temperature and humidity, against the longest outside-air record."""
    room = _air(loggers, "room-air", parameters)
    if room is None:
        return None
    columns = room.record.columns
    excess, outside_c = _excess(room, _air(loggers, "outside-air", parameters), parameters)
    return LoggedRoom(
        logger=room.logger.id,
        days=room.days,
        temperature_c=float(np.nanmean(columns["temperature"])),
        humidity_percent=float(np.nanmean(columns["humidity"])),
        highest_means=_highest_means(room, columns["humidity"]),
        excess=excess,
        outside_c=outside_c,
    )


def logged_surfaces(loggers: Loggers, parameters: Mapping[str, float]) -> tuple[LoggedSurface, ...]:
    """Every surface record that has vapour to go with it: its own humidity, else that of the room air."""
    room = _air(loggers, "room-air", parameters)
    outside = next(iter(loggers.of("outside-air", "temperature", parameters["logged-days-at-least"])), None)
    found = (
        _surface(one, room, outside, parameters)
        for one in loggers.of("surface", "temperature", parameters["logged-days-at-least"])
    )
    return tuple(one for one in found if one is not None)


def logged_void(loggers: Loggers, parameters: Mapping[str, float]) -> tuple[float | None, float] | None:
    """Mean temperature [°C], where logged, and humidity [%] of the longest void-air record."""
    for one in loggers.of("void-air", "humidity", parameters["logged-days-at-least"]):
        humidity = one.record.columns["humidity"]
        if np.isfinite(humidity).any():
            celsius = one.record.columns.get("temperature")
            warmth = float(np.nanmean(celsius)) if celsius is not None and np.isfinite(celsius).any() else None
            return warmth, float(np.nanmean(humidity))
    return None


def logged_rain_response(loggers: Loggers, parameters: Mapping[str, float]) -> RainResponse | None:
    """The clearest response to rain of what was logged: timber moisture, else surface, else void humidity."""
    least = parameters["rain-record-days-at-least"]
    for kind, column in (("timber", "moisture"), ("surface", "humidity"), ("void-air", "humidity")):
        responses = [
            found
            for rain in loggers.of("rain", "rain", least)
            for one in loggers.of(kind, column, least)
            if (
                found := rain_response(
                    rain.record.times,
                    rain.record.columns["rain"],
                    one.record.times,
                    one.record.columns[column],
                    int(parameters["rain-lag-days-at-most"]),
                    int(least),
                )
            )
        ]
        if responses:
            return max(responses, key=lambda found: found.correlation)
    return None


def _air(loggers: Loggers, kind: str, parameters: Mapping[str, float]) -> Logged | None:
    for one in loggers.of(kind, "humidity", parameters["logged-days-at-least"]):
        columns = one.record.columns
        if "temperature" in columns and np.any(np.isfinite(columns["temperature"] * columns["humidity"])):
            return one
    return None


def _excess(
    room: Logged, outside: Logged | None, parameters: Mapping[str, float]
) -> tuple[VapourExcess | None, float | None]:
    if outside is None:
        return None, None
    inside_c, inside_h = room.record.columns["temperature"], room.record.columns["humidity"]
    outside_c, outside_h = (
        at_times(outside.record.times, outside.record.columns[name], room.record.times)
        for name in ("temperature", "humidity")
    )
    both = np.isfinite(inside_c * inside_h * outside_c * outside_h)
    if not both.any() or both.sum() * interval_hours(room.record.times) / 24 < parameters["logged-days-at-least"]:
        return None, None
    pressure = vapour_pressure(inside_c[both], inside_h[both]) - vapour_pressure(outside_c[both], outside_h[both])
    content = absolute_humidity(inside_c[both], inside_h[both]) - absolute_humidity(outside_c[both], outside_h[both])
    return VapourExcess(float(pressure.mean()), float(content.mean())), float(outside_c[both].mean())


def _surface(
    one: Logged, room: Logged | None, outside: Logged | None, parameters: Mapping[str, float]
) -> LoggedSurface | None:
    times, celsius = one.record.times, one.record.columns["temperature"]
    pressure = _pressure(one, room)
    both = np.isfinite(celsius) & np.isfinite(pressure)
    both[both] &= pressure[both] >= saturation_vapour_pressure(-45.0)
    if both.sum() * interval_hours(times) / 24 < parameters["logged-days-at-least"]:
        return None
    humidity, margin = np.full(len(times), np.nan), np.full(len(times), np.nan)
    humidity[both] = np.minimum(100 * pressure[both] / saturation_vapour_pressure(celsius[both]), 100)
    margin[both] = celsius[both] - dew_point_of_vapour_pressure(pressure[both])
    dew = both & (margin <= 0)
    limit = parameters["surface-humidity-mould-limit"]
    step = interval_hours(times)
    highest = _highest_means(one, humidity)
    index = None
    if step <= 6:
        material = sensitivity_class(parameters["mould-sensitivity"])
        index = float(mould_index(celsius, humidity, step, material).max())
    return LoggedSurface(
        logger=one.logger.id,
        days=one.days,
        margin_k=float(np.percentile(margin[both], MARGIN_PERCENTILE)),
        humidity_percent=dict(highest).get("month", float(humidity[both].mean())),
        highest_means=highest,
        share_above_limit=share_of_time(both & (np.nan_to_num(humidity) >= limit), both),
        dew_share=share_of_time(dew, both),
        dew_spells=spells(times, dew).count,
        mould_index=index,
        factor=_factor(one, room, outside, parameters),
    )


def _pressure(one: Logged, room: Logged | None) -> FloatArray:
    times, columns = one.record.times, one.record.columns
    out = np.full(len(times), np.nan)
    if "humidity" in columns:
        known = np.isfinite(columns["temperature"] * columns["humidity"])
        out[known] = vapour_pressure(columns["temperature"][known], columns["humidity"][known])
    elif room is not None:
        air = room.record.columns
        celsius, humidity = (at_times(room.record.times, air[name], times) for name in ("temperature", "humidity"))
        known = np.isfinite(celsius * humidity)
        out[known] = vapour_pressure(celsius[known], humidity[known])
    return out


def _factor(
    one: Logged, room: Logged | None, outside: Logged | None, parameters: Mapping[str, float]
) -> TemperatureFactor | None:
    if room is None or outside is None:
        return None
    times, surface = one.record.times, one.record.columns["temperature"]
    inside, out = (at_times(air.record.times, air.record.columns["temperature"], times) for air in (room, outside))
    known = np.isfinite(surface * inside * out)
    if known.sum() * interval_hours(times) / 24 < parameters["logged-days-at-least"]:
        return None
    try:
        return temperature_factor(
            float(surface[known].mean()),
            float(inside[known].mean()),
            float(out[known].mean()),
            surface_tolerance_k=parameters["surface-thermometer-tolerance"],
            inside_tolerance_k=parameters["air-thermometer-tolerance"],
            outside_tolerance_k=parameters["air-thermometer-tolerance"],
            least_difference_k=parameters["temperature-factor-least-difference"],
        )
    except ValueError:
        return None


def _highest_means(one: Logged, humidity: FloatArray) -> tuple[tuple[str, float], ...]:
    means = ((name, highest_running_mean(one.record.times, humidity, days)) for name, days in WINDOWS.items())
    return tuple((name, mean) for name, mean in means if mean is not None)
