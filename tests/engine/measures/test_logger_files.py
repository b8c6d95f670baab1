import hashlib
import re
from datetime import datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import InvalidInput
from engine.measures.logger_files import read_logger_file
from engine.measures.logger_times import read_times


@pytest.fixture
def read(tmp_path):
    def run(text, kind="room-air", encoding="utf-8", **options):
        (tmp_path / "log.csv").write_bytes(text.encode(encoding))
        return read_logger_file(tmp_path, "log.csv", kind, **options)

    return run


def refusal(read, text, **options):
    with pytest.raises(InvalidInput) as caught:
        read(text, **options)
    return [problem.sentence() for problem in caught.value.problems]


PLAIN = "time,temperature,humidity\n2025-01-31 23:50,20.5,60\n2025-02-01 00:00,20.4,61\n"


@pytest.mark.parametrize(
    "text",
    [
        PLAIN,
        PLAIN.replace(",", ";"),
        PLAIN.replace(",", "\t"),
        PLAIN.replace(",", "|"),
        PLAIN.replace(",", ";").replace("20.", "20,"),
        PLAIN.replace("20.5", '"20,5"').replace("20.4", '"20,4"'),
        PLAIN.replace(" ", "T"),
        PLAIN.replace("23:50", "23:50:00").replace("00:00", "00:00:00"),
        "time,temperature,humidity\n31/01/2025 23:50,20.5,60\n01/02/2025 00:00,20.4,61\n",
        "time,temperature,humidity\n31.01.25 23:50,20.5,60\n01.02.25 00:00,20.4,61\n",
        "time,temperature,humidity\n1/31/2025 11:50 PM,20.5,60\n2/1/2025 12:00 AM,20.4,61\n",
        "Date;Time;Temp;RH\n31.01.2025;23:50;20,5;60\n01.02.2025;00:00;20,4;61\n",
        "Logger 4711\nStarted: in the bedroom\n\n" + PLAIN,
        "time,RH (%),Temp (°C)\n2025-01-31 23:50,60,20.5\n2025-02-01 00:00,61,20.4\n",
        "2025-01-31 23:50,20.5,60\n2025-02-01 00:00,20.4,61\n",
        "No,time,temperature,humidity\n1,2025-01-31 23:50,20.5,60\n2,2025-02-01 00:00,20.4,61\n",
        PLAIN.replace("\n", "\r\n"),
        "\ufeff" + PLAIN,
    ],
)
def test_every_usual_form_of_a_file_reads_the_same(read, text):
    record = read(text)
    assert record.times.tolist() == np.array(["2025-01-31T23:50", "2025-02-01T00:00"], dtype="datetime64[s]").tolist()
    assert record.columns["temperature"].tolist() == [20.5, 20.4]
    assert record.columns["humidity"].tolist() == [60, 61]
    assert record.doubts == ()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_every_usual_encoding_reads_the_same(read, encoding):
    record = read("time;Temp °C;RH %\n2025-01-31 23:50;20,5;60\n2025-02-01 00:00;20,4;61\n", encoding=encoding)
    assert record.columns["temperature"].tolist() == [20.5, 20.4]


AMBIGUOUS = "time,temperature,humidity\n03/04/2025 00:00,20,60\n03/04/2025 01:00,20,60\n"


def test_dates_that_could_be_either_way_round_are_asked_for(read):
    (sentence,) = refusal(read, AMBIGUOUS)
    assert "dates such as 03/04, whose day and month could be either way round" in sentence
    assert "set date_order" in sentence


@pytest.mark.parametrize(("order", "day"), [("day-first", "2025-04-03"), ("month-first", "2025-03-04")])
def test_the_stated_date_order_settles_them(read, order, day):
    assert str(read(AMBIGUOUS, date_order=order).times[0])[:10] == day


def test_a_stated_date_order_that_does_not_fit_is_refused_row_by_row(read):
    sentences = refusal(read, "time,temperature,humidity\n31/01/2025 00:00,20,60\n", date_order="month-first")
    assert sentences == [
        "log.csv:2: time: found '31/01/2025 00:00'; allowed: a day that exists "
        "(dates are read month-first; set date_order if that is wrong)"
    ]


def test_dates_both_ways_round_in_one_file_are_refused(read):
    text = "time,temperature,humidity\n31/01/2025 00:00,20,60\n01/31/2025 01:00,20,60\n"
    assert "the day first in some rows and the month first in others" in refusal(read, text)[0]


def test_a_day_that_does_not_exist_is_refused_with_its_row(read):
    sentences = refusal(read, PLAIN.replace("2025-02-01", "2025-02-30"))
    assert sentences[0].startswith("log.csv:3: time: found '2025-02-30 00:00'; allowed: a day that exists")


def test_every_faulty_number_is_listed_with_its_row(read):
    sentences = refusal(read, PLAIN.replace("20.5", "warm").replace("61", "6l"))
    assert sentences == [
        "log.csv:2: temperature: found 'warm'; allowed: a number in °C, or nothing",
        "log.csv:3: humidity: found '6l'; allowed: a number in %, or nothing",
    ]


def test_of_very_many_faulty_rows_twenty_are_listed_and_the_rest_counted(read):
    rows = "".join(f"2025-01-01 {hour:02d}:{minute:02d},bad\n" for hour in range(5) for minute in range(10))
    sentences = refusal(read, "time,temperature\n" + rows)
    assert len(sentences) == 21
    assert any("30 more rows like these" in sentence for sentence in sentences)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (PLAIN.replace("temperature", "Temp °F").replace("20.", "68."), "temperatures in Fahrenheit"),
        (PLAIN.replace("20.", "68."), "temperatures about 68, which read like Fahrenheit"),
        (PLAIN.replace(",60", ",0.60").replace(",61", ",0.61"), "humidities up to 0.61, which read like fractions"),
        ("time,temperature,humidity\n", "no row that begins with a date"),
        ("", "no row that begins with a date"),
        ("time\n2025-01-01 00:00\n2025-01-01 01:00\n", "rows with a time and no value"),
        ("time,t,h\n2025-01-01 00:00,20,5,60,1\n", "5 fields; allowed: 3, as in the header"),
        ("2025-01-01 00:00,20,5,60,1\n", "4 values on each row and no header that names them"),
        (PLAIN.replace("2025-02-01 00:00", "2025-02-01 soon"), "a date and time, such as 2025-01-31 13:50"),
    ],
)
def test_what_would_mislead_is_refused_with_words_of_its_own(read, text, message):
    assert any(message in sentence for sentence in refusal(read, text))


@pytest.mark.parametrize(
    ("text", "doubt"),
    [
        (PLAIN.replace(",60", ",104"), "1 values of humidity lie outside 0 to 100 % (the first is 104)"),
        (PLAIN.replace("20.5", "99").replace("2025-02", "2025-03"), "1 values of temperature lie outside -45 to 60 °C"),
        (PLAIN.replace("2025-02-01 00:00", "2025-01-31 23:40"), "the rows are not in order of time; they were sorted"),
        (PLAIN.replace("2025-02-01 00:00", "2025-01-31 23:50"), "1 rows repeat a time; the first of each was kept"),
        (
            "time,temperature,humidity,dew point\n2025-01-31 23:50,20,60,25\n2025-02-01 00:00,20,60,12\n",
            "the logged dew point lies above the air temperature in 1 rows, which cannot be",
        ),
    ],
)
def test_what_cannot_be_is_left_out_with_a_doubt_of_its_own(read, text, doubt):
    extra = "2025-03-01 00:10,20,60\n2025-03-01 00:20,20,60\n"
    record = read(text + (extra if "dew point" not in text else ""))
    assert any(doubt in one for one in record.doubts), record.doubts


def test_missing_values_stay_missing(read):
    record = read("time,temperature,humidity\n2025-01-01 00:00,,60\n2025-01-01 01:00,20,n/a\n2025-01-01 02:00,20\n")
    assert np.isnan(record.columns["temperature"]).tolist() == [True, False, False]
    assert np.isnan(record.columns["humidity"]).tolist() == [False, True, True]


def test_rows_out_of_order_are_sorted_with_their_values(read):
    record = read("time,temperature\n2025-01-01 02:00,3\n2025-01-01 00:00,1\n2025-01-01 01:00,2\n")
    assert record.columns["temperature"].tolist() == [1, 2, 3]


def test_an_offset_from_universal_time_is_taken_off(read):
    record = read("time,temperature\n2025-01-01T02:00:00+02:00,3\n2025-01-01T01:00:00Z,1\n")
    assert [str(time) for time in record.times] == ["2025-01-01T00:00:00", "2025-01-01T01:00:00"]


@pytest.mark.parametrize(
    ("kind", "column"),
    [("rain", "rain"), ("timber", "moisture"), ("surface", "temperature"), ("room-air", "temperature")],
)
def test_without_a_header_the_loggers_kind_says_what_the_first_value_is(read, kind, column):
    assert column in read("2025-01-01 00:00,3\n2025-01-01 01:00,2\n", kind=kind).columns


@pytest.mark.parametrize("name", ["../log.csv", "/etc/hostname", "inner/../../log.csv"])
def test_a_path_that_leaves_the_cases_folder_is_refused(tmp_path, name):
    (tmp_path / "log.csv").write_text(PLAIN)
    (tmp_path / "case").mkdir()
    with pytest.raises(InvalidInput, match="a path that leaves the case's folder"):
        read_logger_file(tmp_path / "case", name, "room-air")


def test_a_link_that_leads_out_of_the_cases_folder_is_refused(tmp_path):
    (tmp_path / "log.csv").write_text(PLAIN)
    (tmp_path / "case").mkdir()
    try:
        (tmp_path / "case" / "link.csv").symlink_to(tmp_path / "log.csv")
    except OSError:
        pytest.skip("this system makes no links")
    with pytest.raises(InvalidInput, match="a path that leaves the case's folder"):
        read_logger_file(tmp_path / "case", "link.csv", "room-air")


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(InvalidInput, match=re.escape("log.csv: file: found no such file")):
        read_logger_file(tmp_path, "log.csv", "room-air")


def test_a_file_changed_since_the_case_was_written_is_doubted(read):
    right = hashlib.sha256(PLAIN.encode()).hexdigest()
    assert read(PLAIN, sha256=right).doubts == ()
    assert "has changed since the case was written" in read(PLAIN, sha256="0" * 64).doubts[0]


@given(st.lists(st.datetimes(min_value=datetime(1990, 1, 1), max_value=datetime(2099, 1, 1)), min_size=1, max_size=20))
def test_stamps_read_the_same_all_at_once_and_one_by_one(moments):
    rows = list(range(len(moments)))
    expected = [np.datetime64(moment.replace(microsecond=0)) for moment in moments]
    alike = read_times([f"{moment:%Y-%m-%d %H:%M:%S}" for moment in moments], rows, "log.csv")
    varied = read_times(
        [f"{m.day}.{m.month}.{m.year} {m.hour}:{m:%M:%S}" for m in moments], rows, "log.csv", "day-first"
    )
    assert alike.tolist() == varied.tolist() == [moment.tolist() for moment in expected]
