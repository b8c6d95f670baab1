"""`dampwright duties` as a user meets it."""

from __future__ import annotations

import json

from typer.testing import CliRunner

from cli.main import app


def run(*arguments):
    return CliRunner().invoke(app, ["duties", *arguments])


def test_the_sheet_says_first_that_it_is_a_possible_duty_and_on_whose_clock():
    done = run("--aware", "2026-11-02", "--jurisdiction", "england", "--plain")
    assert done.exit_code == 0
    second = done.stdout.splitlines()[1]
    assert "possible duty, take advice" in second.lower()
    assert "landlord awareness" in second


def test_dates_are_printed_with_their_weekday_and_period():
    done = run("--aware", "2026-11-02", "--finished", "2026-11-12", "--jurisdiction", "england", "--plain")
    said = " ".join(done.stdout.split())
    assert "Monday 16 November 2026 (10 working days from awareness" in said
    assert "Thursday 4 February 2027 (12 weeks from the end of the investigation)" in said


def test_without_the_end_of_the_investigation_what_counts_from_it_has_no_day():
    done = run("--aware", "2026-11-02", "--jurisdiction", "scotland", "--plain")
    assert "no day yet" in done.stdout


def test_without_a_jurisdiction_every_pack_is_shown():
    sheets = json.loads(run("--aware", "2026-11-02", "--json").stdout)
    assert {sheet["jurisdiction"] for sheet in sheets} == {"england", "scotland", "wales"}


def test_json_holds_days_in_iso_form_and_the_standing_of_each_sheet():
    (sheet,) = json.loads(run("--aware", "2026-11-02", "--jurisdiction", "england", "--json").stdout)
    assert sheet["standing"].startswith("possible duty, take advice")
    assert {item["limit"]: item["due"] for item in sheet["dates"]}["investigation"] == "2026-11-16"


def test_a_jurisdiction_without_a_pack_ends_with_3_and_says_that_there_may_be_a_duty_all_the_same():
    done = run("--aware", "2026-11-02", "--jurisdiction", "northern-ireland")
    assert done.exit_code == 3
    assert "does not mean that there is no duty: take advice" in done.stderr


def test_a_misspelt_jurisdiction_names_the_nearest():
    assert "did you mean 'england'?" in run("--aware", "2026-11-02", "--jurisdiction", "engalnd").stderr


def test_a_day_badly_written_and_an_end_before_awareness_are_usage_faults():
    assert run("--aware", "2 November").exit_code == 2
    done = run("--aware", "2026-11-02", "--finished", "2026-11-01")
    assert done.exit_code == 2
    assert "before the landlord is aware" in done.stderr


def test_a_sheet_of_long_past_dates_says_by_when_and_never_that_a_duty_was_missed_or_broken():
    said = run("--aware", "2025-11-03", "--finished", "2025-11-04", "--plain").stdout.lower()
    assert "17 november 2025" in said
    assert not [word for word in ("overdue", "breach", "missed", "late", "in time", "liable") if word in said.split()]
