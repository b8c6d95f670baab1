"""The days of a caseload against a pack of time limits, and what a caseload comes to."""

from __future__ import annotations

import json
from datetime import date

import pytest

from engine.errors import InvalidInput
from engine.rulebook import load_rulebook
from engine.sweeping import sweep_line
from engine.sweeping.dates import Days, chosen_pack
from engine.sweeping.summary import Summary, same_address
from tests.caseloads import BROKEN, small_case

PACK = "england-social-housing-hazards"


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook()


def days_of(rulebook, today, reported, finished=None):
    days = Days(rulebook, chosen_pack(rulebook, PACK), date.fromisoformat(today))
    return days.of({"reported_on": reported, "investigation_finished_on": finished}), days


def test_days_are_counted_from_the_report_and_limits_from_the_pack(rulebook):
    found, _ = days_of(rulebook, "2026-11-17", "2026-11-02")
    assert found["days_since_report"] == 15
    # Ten working days from Monday 2 November 2026 end on Monday 16 November, as the command `duties` has it.
    assert {one["limit"]: one["due"] for one in found["past"]} == {
        "emergency": "2026-11-03",
        "investigation": "2026-11-16",
    }
    assert found["next"] is None


def test_on_its_last_day_a_limit_is_not_past(rulebook):
    found, _ = days_of(rulebook, "2026-11-16", "2026-11-02")
    assert [one["limit"] for one in found["past"]] == ["emergency"]
    assert found["next"] == {
        "limit": "investigation",
        "title": "significant hazard investigated",
        "due": "2026-11-16",
    }


def test_an_investigation_that_finished_in_time_is_not_past_however_late_today_is(rulebook):
    found, _ = days_of(rulebook, "2027-03-01", "2026-11-02", "2026-11-12")
    past = {one["limit"] for one in found["past"]}
    assert "investigation" not in past
    assert "further-work-on-site" in past


def test_without_a_day_of_report_nothing_is_reckoned_and_without_a_pack_only_days(rulebook):
    assert days_of(rulebook, "2026-11-16", None)[0] == {
        "today": "2026-11-16",
        "days_since_report": None,
        "pack": PACK,
        "standing": "possible duty, take advice",
        "past": [],
        "next": None,
    }
    plain = Days(rulebook, None, date(2026, 11, 16)).of({"reported_on": "2026-11-02"})
    assert plain == {"today": "2026-11-16", "days_since_report": 14}


def test_warnings_of_the_pack_are_counted_once_for_each_case(rulebook):
    _, days = days_of(rulebook, "2027-06-01", "2026-11-02")
    assert any(warning.startswith("stale: last looked up") for warning in days.warnings)
    assert set(days.warnings.values()) == {1}


def test_an_unknown_pack_names_the_nearest_and_what_there_is(rulebook):
    with pytest.raises(InvalidInput) as fault:
        chosen_pack(rulebook, "england-social-housing-hazard")
    (problem,) = fault.value.problems
    assert problem.nearest == PACK
    assert "take advice" in problem.advice


def test_addresses_are_compared_by_their_words():
    assert same_address("12, High Street,  Béthel") == same_address("12 HIGH STREET BETHEL")
    assert same_address("12 High Street") != same_address("1 2 High Street")
    assert same_address("12a High St") != same_address("12 High St")


def test_the_summary_counts_causes_states_repeats_and_faults(rulebook):
    summary = Summary()
    days = Days(rulebook, chosen_pack(rulebook, PACK), date(2026, 11, 25))
    # Cases 0 and 1 share an address; 9 has none and comes twice under one id.
    lines = [json.dumps(small_case(number)) for number in (0, 1, 2)]
    nowhere = small_case(9)
    nowhere["dwelling"] = {"title": "House"}
    lines += [json.dumps(nowhere), json.dumps({**nowhere, "note": "again"}), BROKEN]
    for line in lines:
        result = json.loads(sweep_line(line))
        if result["state"] == "weighed":
            result["dates"] = days.of(result)
        summary.add(result, known=False)
    found = summary.data()
    assert (found["cases"], found["weighed"], found["faults"], found["areas"]) == (6, 5, 1, 5)
    assert found["determined"] + found["not_determined"] == 5
    assert found["repeats"] == [
        {"dwelling": "0, High Street", "cases": 2},
        {"dwelling": "case-9", "cases": 2},
    ]
    assert found["cases_past_a_last_day"] == 5
    assert {one["limit"] for one in found["past_the_last_day_of"]} == {
        "emergency hazard investigated and made safe",
        "significant hazard investigated",
    }
    counted = {one["cause"]: one["areas"] for one in found["leading"]}
    assert sum(counted.values()) == sum(
        len(area["leading"]) for line in lines for area in json.loads(sweep_line(line)).get("areas", ())
    )
