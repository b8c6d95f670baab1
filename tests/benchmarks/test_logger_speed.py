"""How long a year of ten-minute values takes, from the file to the facts."""

import numpy as np
import pytest

from engine.measures.climate import climate_facts
from engine.measures.loggers import read_loggers

YEAR = 365 * 24 * 6


@pytest.fixture
def a_year(area_case, tmp_path):
    hours = np.arange(YEAR) / 6
    times = np.datetime64("2025-01-01T00:00:00") + (hours * 3600).astype("timedelta64[s]")
    warm = 19 + 2 * np.sin(hours / 24 * 2 * np.pi)
    humid = 65 + 10 * np.sin(hours / 200)
    for name, columns in (("room", (warm, humid)), ("surface", (warm - 5,)), ("outside", (warm - 12, humid + 15))):
        lines = ["time;temperature;humidity" if len(columns) == 2 else "time;temperature"]
        lines += [f"{time};{';'.join(f'{v:.2f}' for v in row)}" for time, *row in zip(times, *columns, strict=True)]
        (tmp_path / f"{name}.csv").write_text("\n".join(lines).replace(".", ","))
    loggers = [
        {"id": "room", "kind": "room-air", "file": "room.csv"},
        {"id": "surface", "kind": "surface", "file": "surface.csv"},
        {"id": "outside", "kind": "outside-air", "file": "outside.csv"},
    ]
    return (*area_case(loggers=loggers), tmp_path)


def test_three_loggers_with_a_year_of_ten_minute_values(benchmark, a_year, parameters):
    case, area, folder = a_year

    def run():
        return climate_facts(case, area, parameters, loggers=read_loggers(area, folder, 7))

    assert {fact.attribute for fact in benchmark(run).facts} >= {"mould-index", "temperature-factor", "humidity-class"}
