"""Loggers' files, damaged: read with doubts, or refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures.logger_files import read_logger_file
from engine.measures.loggers import Logged
from tests.fuzzing import TEXTS, byte_damage, damaged_bytes, damaged_text, examples, text_damage, told, watched

GOOD = (
    "Logger 12\nstart;2025-01-01\n\nNo;Time;Temperature °C;Humidity %RH;Dew point\n"
    + "".join(f"{n};2025-01-{1 + n // 24:02d} {n % 24:02d}:00;{18 + n % 5},5;{60 + n % 9};9,1\n" for n in range(40)),
    "date,time,temp,rh\n" + "".join(f"{1 + n:02d}/02/2025,12:30:00,{17 + n / 10:.1f},{70 - n}\n" for n in range(28)),
    "".join(f"2025-03-{1 + n:02d}T06:00:00Z\t{n / 10}\n" for n in range(30)),
    '"Time","Temp"\n' + "".join(f'"{n + 1}/13/25 {1 + n}:05 PM","{60 + n}"\n' for n in range(12)),
)
KINDS = st.sampled_from(["room-air", "outside-air", "surface", "void-air", "rain", "timber"])
ORDERS = st.sampled_from([None, "year-first", "day-first", "month-first"])
STAMPS = st.one_of(
    st.sampled_from(["2025-01-31 13:50", "31.01.2025", "1/2/03 4:05", "0001-01-01", "2025-13-45 99:99", "1970-1-1"]),
    st.from_regex(r"[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4}([T ][0-9]{1,2}[:.][0-9]{2})?", fullmatch=True),
)
CELLS = st.one_of(st.sampled_from(TEXTS), st.text(max_size=6), st.floats().map(str), st.integers(-50, 200).map(str))


@pytest.fixture(scope="module", autouse=True)
def _counted():
    yield
    told()


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("loggers")


def read(folder, content, kind, order):
    (folder / "air.csv").write_bytes(content)
    record = read_logger_file(folder, "air.csv", kind, date_order=order)
    assert all(len(values) == len(record.times) for values in record.columns.values())
    assert all(later > earlier for earlier, later in zip(record.times, record.times[1:], strict=False))
    assert Logged(None, record).days >= 0


@examples(150, 12_000)
@given(text=st.sampled_from(GOOD), steps=text_damage, kind=KINDS, order=ORDERS)
def test_a_damaged_series_is_refused_or_read(folder, text, steps, kind, order):
    with watched("logger text"):
        read(folder, damaged_text(text, steps).encode("utf-8", "surrogatepass"), kind, order)


@examples(100, 8_000)
@given(
    text=st.sampled_from(GOOD),
    steps=byte_damage,
    kind=KINDS,
    code=st.sampled_from(["utf-8", "utf-16", "cp1252", "utf-16-le", "utf-8-sig"]),
)
def test_damaged_bytes_of_a_series_are_refused_or_read(folder, text, steps, kind, code):
    with watched("logger bytes"):
        read(folder, damaged_bytes(text.encode(code), steps), kind, "day-first")


@examples(150, 12_000)
@given(
    rows=st.lists(st.tuples(STAMPS, st.lists(CELLS, max_size=4)), min_size=1, max_size=6),
    header=st.lists(CELLS, max_size=4),
    mark=st.sampled_from([",", ";", "\t", "|"]),
    kind=KINDS,
    order=ORDERS,
)
def test_rows_that_begin_with_any_date_are_refused_or_read(folder, rows, header, mark, kind, order):
    lines = [mark.join(["time", *header]), *(mark.join([stamp, *cells]) for stamp, cells in rows)]
    with watched("logger rows"):
        read(folder, "\n".join(lines).encode("utf-8", "surrogatepass"), kind, order)
