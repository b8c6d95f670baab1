"""Dates of possible duties: hand-worked examples, laws of working days, and what is warned of."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.duties import STANDING, due_dates, jurisdictions, sheets, working_days_after
from engine.rulebook import load_rulebook

DAYS = st.dates(date(2020, 1, 1), date(2035, 12, 31))
COUNTS = st.integers(1, 120)
HOLIDAYS = st.frozensets(st.dates(date(2020, 1, 1), date(2036, 12, 31)), max_size=60)


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook(cache=False)


@pytest.fixture(scope="module")
def england(rulebook):
    return rulebook.duties["england-social-housing-hazards"]


@pytest.fixture(scope="module")
def holidays(rulebook):
    return rulebook.bank_holidays["bank-holidays-england-and-wales"]


def reckoned(duty, holidays, aware, finished=None, today=date(2026, 12, 1)):
    dates, warnings = due_dates(duty, holidays, aware_on=aware, finished_on=finished, today=today)
    return {item.limit: item.due for item in dates}, warnings


# Worked by hand on a calendar: 2 November 2026 is a Monday.
def test_a_report_on_a_monday_without_bank_holidays(england, holidays):
    due, warnings = reckoned(england, holidays, date(2026, 11, 2), date(2026, 11, 12))
    assert due == {
        "emergency": date(2026, 11, 3),
        "investigation": date(2026, 11, 16),  # Tue 3 is day 1, Fri 6 day 4, Fri 13 day 9, Mon 16 day 10
        "written-summary": date(2026, 11, 17),  # finished Thu 12: Fri 13, Mon 16, Tue 17
        "safety-work": date(2026, 11, 19),  # Fri 13, Mon 16, Tue 17, Wed 18, Thu 19
        "further-work-begun": date(2026, 11, 19),
        "further-work-on-site": date(2027, 2, 4),  # 84 days on: 18 in November, 31, 31, 4
    }
    assert warnings == ()


# Christmas 2026: Fri 25 December and, for Sat 26, Mon 28 December do not count, nor does Fri 1 January 2027.
def test_a_report_before_christmas_passes_over_three_bank_holidays(england, holidays):
    due, _ = reckoned(england, holidays, date(2026, 12, 21), date(2026, 12, 23))
    assert due["investigation"] == date(2027, 1, 7)  # 22 23 24 | 29 30 31 | 4 5 6 7
    assert due["written-summary"] == date(2026, 12, 30)  # 24 29 30
    assert due["safety-work"] == date(2027, 1, 4)  # 24 29 30 31 4
    assert due["emergency"] == date(2026, 12, 22)


# Easter 2026: Good Friday 3 April and Easter Monday 6 April in England; in Scotland Easter Monday counts.
def test_easter_monday_counts_in_scotland_and_not_in_england(rulebook):
    england, scotland = (rulebook.bank_holidays[f"bank-holidays-{name}"] for name in ("england-and-wales", "scotland"))
    maundy_thursday = date(2026, 4, 2)
    for listed, expected in ((england, date(2026, 4, 9)), (scotland, date(2026, 4, 8))):
        assert working_days_after(maundy_thursday, 3, frozenset(day.on for day in listed.days)) == expected


def test_awareness_at_a_weekend_begins_on_the_monday(england, holidays):
    saturday, sunday, friday = (reckoned(england, holidays, date(2026, 11, day))[0] for day in (7, 8, 6))
    assert saturday["investigation"] == sunday["investigation"] == friday["investigation"] == date(2026, 11, 20)
    assert saturday["emergency"] == date(2026, 11, 8)


def test_what_counts_from_the_investigation_has_no_day_until_it_has_finished(england, holidays):
    due, _ = reckoned(england, holidays, date(2026, 11, 2))
    assert due["investigation"]
    assert due["emergency"]
    assert {name for name, day in due.items() if day is None} == {
        "written-summary",
        "safety-work",
        "further-work-begun",
        "further-work-on-site",
    }


def test_an_investigation_cannot_finish_before_awareness(england, holidays):
    with pytest.raises(ValueError, match="before the landlord is aware"):
        reckoned(england, holidays, date(2026, 11, 2), date(2026, 11, 1))


def test_a_pack_not_looked_up_for_longer_than_it_may_be_warns_from_the_next_day_on(england, holidays):
    last_good = england.checked_on + timedelta(days=england.stale_after_days)
    assert not reckoned(england, holidays, date(2026, 11, 2), today=last_good)[1]
    (warning,) = reckoned(england, holidays, date(2026, 11, 2), today=last_good + timedelta(days=1))[1]
    assert warning.startswith("stale: last looked up on")


def test_awareness_before_the_pack_was_in_force_warns(england, holidays):
    (warning,) = reckoned(england, holidays, date(2025, 10, 24))[1]
    assert "in force from 2025-10-27 only" in warning
    assert not reckoned(england, holidays, date(2025, 10, 27))[1]


def test_a_list_of_bank_holidays_that_does_not_reach_warns(england, holidays):
    warnings = reckoned(england, holidays, date(2027, 12, 20), today=date(2026, 12, 1))[1]
    assert any("the list of bank holidays ends on 2027-12-31" in warning for warning in warnings)
    early = reckoned(england, holidays, date(2024, 12, 30))[1]
    assert any("begins on 2025-01-01" in warning for warning in early)


def test_without_a_list_of_bank_holidays_it_warns_and_counts_them(england):
    due, warnings = reckoned(england, None, date(2026, 12, 24))
    assert any("no list of bank holidays" in warning for warning in warnings)
    assert due["investigation"] == date(2027, 1, 7)


def test_a_pack_without_figures_gives_no_day_and_says_so(rulebook):
    dates, warnings = due_dates(
        rulebook.duties["wales-social-housing-hazards"], None, aware_on=date(2026, 11, 2), today=date(2026, 12, 1)
    )
    assert dates == ()
    assert any("not known here" in warning for warning in warnings)


def test_every_sheet_says_that_it_is_a_possible_duty_and_on_whose_clock(rulebook):
    found = sheets(rulebook, aware_on=date(2026, 11, 2), today=date(2026, 12, 1))
    assert [sheet.duty for sheet in found] == sorted(rulebook.duties)
    assert all(STANDING in sheet.standing and "landlord awareness" in sheet.standing for sheet in found)
    assert all(sheet.sources and sheet.note for sheet in found)


def test_a_jurisdiction_without_a_pack_has_no_sheet(rulebook):
    assert sheets(rulebook, jurisdiction="northern-ireland", aware_on=date(2026, 11, 2), today=date(2026, 12, 1)) == ()
    assert "northern-ireland" not in jurisdictions(rulebook.duties)


@given(DAYS, COUNTS, HOLIDAYS)
def test_exactly_so_many_working_days_lie_after_the_start_up_to_the_last(start, count, holidays):
    last = working_days_after(start, count, holidays)
    span = [start + timedelta(days=number) for number in range(1, (last - start).days + 1)]
    working = [day for day in span if day.weekday() < 5 and day not in holidays]
    assert len(working) == count
    assert working[-1] == last


@given(DAYS, COUNTS, COUNTS, HOLIDAYS)
def test_periods_follow_on_from_each_other(start, first, second, holidays):
    whole = working_days_after(start, first + second, holidays)
    assert working_days_after(working_days_after(start, first, holidays), second, holidays) == whole


@given(DAYS, DAYS, COUNTS, HOLIDAYS)
def test_a_later_start_never_falls_due_earlier(one, other, count, holidays):
    earlier, later = sorted((one, other))
    assert working_days_after(earlier, count, holidays) <= working_days_after(later, count, holidays)


@given(DAYS, COUNTS, HOLIDAYS, DAYS)
def test_a_further_bank_holiday_never_brings_a_day_forward(start, count, holidays, further):
    assert working_days_after(start, count, holidays | {further}) >= working_days_after(start, count, holidays)


@given(DAYS, st.integers(1, 40))
def test_without_bank_holidays_five_working_days_are_a_week(start, weeks):
    weekend_moved = max(start.weekday() - 4, 0)
    assert working_days_after(start, 5 * weeks) == start + timedelta(days=7 * weeks - weekend_moved)


@pytest.mark.parametrize("count", [0, -1])
def test_working_days_are_counted_from_one(count):
    with pytest.raises(ValueError, match="counted from 1"):
        working_days_after(date(2026, 11, 2), count)
    with pytest.raises(ValueError, match="calendar ends"):
        working_days_after(date.max - timedelta(days=3), 10)
