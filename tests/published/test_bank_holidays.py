"""The lists of bank holidays against the Act that makes them.

England and Wales: Banking and Financial Dealings Act 1971, schedule 1, paragraph 1 (read): Easter Monday, the last
Monday in May, the last Monday in August, 26 December if it be not a Sunday, 27 December in a year in which 25 or 26
December is a Sunday. New Year's Day, the first Monday in May and substitute days come by proclamation, Good Friday and
Christmas Day by common law (from memory). Scotland: the days of the schedule as told by others, St Andrew's Day by the
Act of 2007, and 15 June 2026 by proclamation (at second hand). Easter by the method of Butcher (1876), from memory.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from engine.rulebook import load_rulebook


def easter_sunday(year: int) -> date:
    a, (b, c) = year % 19, divmod(year, 100)
    (d, e), f = divmod(b, 4), (b + 8) // 25
    g = (b - f + 1) // 3
    h = (19 * a + b - d - g + 15) % 30
    i, k = divmod(c, 4)
    weekday = (32 + 2 * e + 2 * i - h - k) % 7
    m = (a + 11 * h + 22 * weekday) // 451
    month, day = divmod(h + weekday - 7 * m + 114, 31)
    return date(year, month, day + 1)


def first_monday(year: int, month: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=-first.weekday() % 7)


def last_monday(year: int, month: int) -> date:
    last = date(year, month, 31)
    return last - timedelta(days=last.weekday())


def christmas(year: int) -> set[date]:
    twenty_fifth = date(year, 12, 25).weekday()
    days = {4: (25, 28), 5: (27, 28), 6: (26, 27)}.get(twenty_fifth, (25, 26))
    return {date(year, 12, day) for day in days}


def new_year(year: int) -> date:
    first = date(year, 1, 1)
    return first + timedelta(days={5: 2, 6: 1}.get(first.weekday(), 0))


def in_england_and_wales(year: int) -> set[date]:
    easter = easter_sunday(year)
    return christmas(year) | {
        new_year(year),
        easter - timedelta(days=2),
        easter + timedelta(days=1),
        first_monday(year, 5),
        last_monday(year, 5),
        last_monday(year, 8),
    }


def in_scotland(year: int) -> set[date]:
    second = date(year, 1, 2)
    second += timedelta(days={5: 2, 6: 2, 0: 1}.get(second.weekday(), 0))
    andrew = date(year, 11, 30)
    andrew += timedelta(days={5: 2, 6: 1}.get(andrew.weekday(), 0))
    one_off = {date(2026, 6, 15)} if year == 2026 else set()
    good_friday = easter_sunday(year) - timedelta(days=2)
    spring = {first_monday(year, 5), last_monday(year, 5), first_monday(year, 8)}
    return christmas(year) | spring | one_off | {new_year(year), second, good_friday, andrew}


@pytest.fixture(scope="module")
def lists():
    return load_rulebook(cache=False).bank_holidays


@pytest.mark.parametrize("year", [2025, 2026, 2027])
def test_the_list_for_england_and_wales_is_the_acts(lists, year):
    listed = {day.on for day in lists["bank-holidays-england-and-wales"].days if day.on.year == year}
    assert listed == in_england_and_wales(year)


@pytest.mark.parametrize("year", [2026, 2027])
def test_the_list_for_scotland_is_the_acts(lists, year):
    assert {day.on for day in lists["bank-holidays-scotland"].days if day.on.year == year} == in_scotland(year)


def test_no_listed_day_is_at_a_weekend_and_all_are_in_order(lists):
    for listed in lists.values():
        days = [day.on for day in listed.days]
        assert days == sorted(days)
        assert all(day.weekday() < 5 for day in days)
        assert listed.complete_from == date(days[0].year, 1, 1)
        assert listed.complete_until == date(days[-1].year, 12, 31)
