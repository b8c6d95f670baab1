"""What loggers record of a made-up case: air and the coldest surface hour by hour, about the climate of the visit.

Outside air swings by day and by spells of weather; the room follows its heating; its vapour is that of the air outside
and an excess that follows the day's doings; the surface lies between room and outside by its temperature factor.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from hashlib import sha256
from typing import Literal

import numpy as np

from engine.case.models import Logger
from engine.measures.psychrometrics import saturation_vapour_pressure, vapour_pressure
from engine.synthesis.climates import Climate
from engine.synthesis.fields import SURFACE
from engine.synthesis.flow import Field
from engine.synthesis.ranges import Draw

DAYS = 56
"""Length of every record [days], which ends on the day before the visit."""

Kind = Literal["room-air", "outside-air", "surface", "void-air"]
Columns = Mapping[str, Field]


def logged_climate(draw: Draw, climate: Climate) -> dict[Kind, Columns]:
    """Hourly series of outside air, room air and the coldest surface: temperature [°C] and, of air, humidity [%]."""
    hours = np.arange(24 * DAYS)
    by_day = 2 * np.pi * hours / 24
    outside = climate.outside_c + draw("daily-swing", "logger") * np.sin(by_day - 2.5) + _weather(draw, hours.size)
    outside_percent = np.clip(climate.outside_percent - 1.5 * (outside - climate.outside_c), 45, 100)
    room = (
        climate.room_c + draw("heating-swing", "logger") * np.sin(by_day - 3.5) + draw.random.normal(0, 0.1, hours.size)
    )
    excess = _pressure(climate.room_c, climate.room_percent) - _pressure(climate.outside_c, climate.outside_percent)
    doings = 1 + draw("vapour-swing", "logger") * np.sin(by_day - 3.0) + draw.random.normal(0, 0.03, hours.size)
    pressure = _pressure(outside, outside_percent) + excess * np.clip(doings, 0, None)
    percent = np.clip(100 * pressure / np.asarray(saturation_vapour_pressure(room)), 5, 99)
    factor = (climate.coldest_c - climate.outside_c) / (climate.room_c - climate.outside_c)
    return {
        "room-air": {"temperature": room, "humidity": percent},
        "outside-air": {"temperature": outside, "humidity": outside_percent},
        "surface": {"temperature": outside + factor * (room - outside)},
    }


def logged_void(draw: Draw, climate: Climate) -> Columns:
    """Hourly air of a void, drier or damper as it is drawn."""
    hours = 24 * DAYS
    celsius = climate.outside_c + 0.4 * (climate.room_c - climate.outside_c) + 0.5 * _weather(draw, hours)
    percent = draw("void-humidity", "logger") + draw.random.normal(0, 1.0, hours)
    return {"temperature": celsius, "humidity": np.clip(percent, 30, 99.5)}


def as_file(kind: Kind, columns: Columns, folder: str, visited: date) -> tuple[Logger, bytes]:
    """A logger and the content of its file, which lies in the folder."""
    start = datetime.combine(visited - timedelta(days=DAYS), time())
    titles = {"temperature": "temperature (°C)", "humidity": "humidity (%)"}
    lines = [",".join(["time", *(titles[name] for name in columns)])]
    rows = np.stack([np.round(values, 1) for values in columns.values()], axis=1)
    for hour, row in enumerate(rows.tolist()):
        stamp = (start + timedelta(hours=hour)).strftime("%Y-%m-%d %H:%M")
        lines.append(",".join([stamp, *(f"{value:.1f}" for value in row)]))
    content = ("\n".join(lines) + "\n").encode("utf-8")
    logger = Logger(
        id=kind,
        kind=kind,
        file=f"{folder}/{kind}.csv",
        sha256=sha256(content).hexdigest(),
        date_order="year-first",
        surface=SURFACE if kind == "surface" else None,
    )
    return logger, content


def _weather(draw: Draw, hours: int) -> Field:
    """Spells of weather that last for some days [K], with mean 0 over the record."""
    steps = draw.random.normal(0, 0.35, hours)
    keep, value = 1 - 1 / 60, 0.0
    spells = np.empty(hours)
    for hour, step in enumerate(steps.tolist()):
        value = keep * value + step
        spells[hour] = value
    return np.asarray(spells - spells.mean())


def _pressure(celsius: float | Field, percent: float | Field) -> Field:
    return np.asarray(vapour_pressure(np.asarray(celsius), np.asarray(percent)))
