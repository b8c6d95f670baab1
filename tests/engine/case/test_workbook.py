"""A case in a workbook: the form holds what a case file holds, and its faults name sheet and cell."""

from __future__ import annotations

import json
import zipfile
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest

from engine.case import case_digest, parse_case, read_case, write_case
from engine.case.models import Case
from engine.case.workbook.example import example_case
from engine.case.workbook.layout import EXAMPLE, LISTS
from engine.case.workbook.writing import starting_case, write_form
from engine.documents import read_document
from engine.errors import InvalidInput
from engine.opinion import to_json, weigh
from engine.rulebook import load_rulebook

CASEBOOK = sorted((Path(__file__).resolve().parents[3] / "casebook").rglob("*.yaml"))
DEMO = next(path for path in CASEBOOK if path.stem == "raised-path")


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook()


@pytest.fixture(scope="module")
def demo_form(rulebook):
    return write_form(read_case(DEMO, vocabulary=rulebook), rulebook)


@pytest.fixture
def form(tmp_path, demo_form):
    """The demonstration case in a workbook that a test may change; `said` lists the faults that it then has."""
    path = tmp_path / "visit.xlsx"
    path.write_bytes(demo_form)
    return path


def changed(path, *changes):
    book = openpyxl.load_workbook(path)
    for sheet, cell, value in changes:
        book[sheet][cell] = value
    book.save(path)


def said(path, rulebook):
    with pytest.raises(InvalidInput) as caught:
        read_case(path, vocabulary=rulebook)
    return [problem.sentence().replace(str(path), "visit.xlsx") for problem in caught.value.problems]


def sign_row(path, attribute):
    sheet = openpyxl.load_workbook(path)["Signs"]
    return next(row for row in range(2, sheet.max_row + 1) if sheet.cell(row, 12).value == attribute)


@pytest.mark.parametrize("path", [*CASEBOOK[::12], DEMO], ids=lambda path: path.stem)
def test_a_worked_case_keeps_its_digest_through_the_form(path, tmp_path, rulebook):
    case = read_case(path, vocabulary=rulebook)
    form = tmp_path / "case.xlsx"
    form.write_bytes(write_form(case, rulebook))
    assert case_digest(read_case(form, vocabulary=rulebook)) == case_digest(case)


def test_a_form_and_the_case_file_made_from_it_give_the_same_opinion_to_the_byte(form, rulebook):
    held = read_case(form, vocabulary=rulebook)
    file = parse_case(read_document(Path("case.yaml"), text=write_case(held)), rulebook)
    assert file == held
    opinion = to_json(weigh(held, rulebook))
    assert opinion == to_json(weigh(file, rulebook))
    assert opinion == to_json(weigh(read_case(DEMO, vocabulary=rulebook), rulebook))


def test_an_empty_form_reads_as_it_stands_and_knows_no_fact(tmp_path, rulebook):
    path = tmp_path / "new.xlsx"
    path.write_bytes(write_form(starting_case(date(2026, 1, 2)), rulebook))
    case = read_case(path, vocabulary=rulebook)
    assert case == starting_case(date(2026, 1, 2))
    assert not case.dwelling.facts
    assert not case.areas[0].facts


def test_a_form_holds_what_the_worked_cases_seldom_have(tmp_path, rulebook):
    data = example_case().model_dump(mode="json", exclude_defaults=True)
    area = data["areas"][0]
    data["commission"] = {"client": "A. Tenant", "brief": "Line one.\nLine two."}
    area["conclusion"] = {
        "causes": ["rain-through-wall", "ground-rise"],
        "blind": True,
        "opinion": {"determined": False, "leading": ["ground-rise"], "rulebook": "0" * 64},
        "signed_by": "Name",
        "signed_on": "2026-03-01",
    }
    area["photographs"] = [{"file": "photographs/a.jpg", "caption": "=HYPERLINK(1)"}]
    area["facts"][0]["private"] = True
    area["note"] = " =1+1 stays text \n"
    area["surfaces"][0]["facts"] = [{"attribute": "black-mould-seen", "value": "no", "basis": "seen", "visit": "first"}]
    area["surfaces"][0]["readings"][0]["repeats"] = [19.25, 1e-7, 19, 0.1, 12]
    area["samples"] = [{"id": "core", "wet_g": 2, "dry_g": 1.9, "ions": [{"name": "nitrate", "band": "low"}]}]
    data["areas"].append({"id": "hall", "title": "Hall"})
    case = Case.model_validate_json(json.dumps(data))
    path = tmp_path / "full.xlsx"
    path.write_bytes(write_form(case, rulebook))
    assert case_digest(read_case(path, vocabulary=rulebook)) == case_digest(case)


def test_the_example_is_a_sound_case_of_the_rule_base(rulebook):
    assert parse_case(read_document(Path("example.yaml"), text=write_case(example_case())), rulebook)


def test_faults_name_sheet_and_cell_and_come_all_at_once(form, rulebook):
    row = sign_row(form, "storey")
    changed(
        form,
        ("Visits", "B2", "11/03/26"),
        ("Readings", "E3", "pinz"),
        ("Readings", "F4", "wet"),
        ("Signs", f"B{row}", "grond-floor"),
        ("Surfaces", "C2", None),
        ("Areas", "D1", "Colour"),
    )
    faults = "\n".join(said(form, rulebook))
    for part in (
        "visit.xlsx:Visits!B2: Day: found '11/03/26'",
        "visit.xlsx:Readings!E3: Instrument: found",
        "did you mean 'pins'?",
        "visit.xlsx:Readings!F4: Reading: found 'wet'; allowed: a number from 0 up to 10,000",
        f"visit.xlsx:Signs!B{row}: Answer: found 'grond-floor'",
        "did you mean 'ground-floor'?",
        "visit.xlsx:Surfaces!C2: Kind: found an empty cell; allowed: one of wall, floor",
        "visit.xlsx:Areas!D1: found the unknown column 'Colour'",
    ):
        assert part in faults


def test_faults_of_rows_that_belong_nowhere_name_the_cell(form, rulebook):
    row = sign_row(form, "storey")
    changed(form, ("Readings", "B5", "garden-wal"), ("Signs", f"E{row}", "hous"), ("Not inspected", "A2", "back-rom"))
    faults = "\n".join(said(form, rulebook))
    assert "visit.xlsx:Readings!B5: Surface: found the unknown surface 'garden-wal'" in faults
    assert "did you mean 'garden-wall'?" in faults
    assert f"visit.xlsx:Signs!E{row}: Holds for: found 'hous'" in faults
    assert "visit.xlsx:Not inspected!A2: Area: found the unknown area 'back-rom'" in faults


def test_a_formula_without_a_stored_value_is_a_fault(form, rulebook):
    changed(form, ("Readings", "F2", "=11+1"))
    assert any(
        "Readings!F2: Reading: found a formula without a stored value" in fault for fault in said(form, rulebook)
    )


def test_a_decimal_comma_is_read_where_it_can_mean_one_thing_only(form, rulebook):
    changed(form, ("Readings", "F2", "11,5"))
    case = read_case(form, vocabulary=rulebook)
    assert case.areas[0].surfaces[0].readings[0].value == 11.5


def test_a_number_that_could_be_two_is_a_fault(form, rulebook):
    changed(form, ("Readings", "C2", "1,250"))
    assert any("Readings!C2: x [mm]: found 1,250, which could be" in fault for fault in said(form, rulebook))


def test_real_days_and_written_days_are_the_same(form, rulebook):
    changed(form, ("Visits", "B2", datetime(2026, 3, 11)))
    assert read_case(form, vocabulary=rulebook).visits[0].on == date(2026, 3, 11)


def test_empty_rows_are_passed_over_and_the_only_surface_need_not_be_named(form, rulebook):
    before = len(read_case(form, vocabulary=rulebook).areas[0].surfaces[0].readings)
    book = openpyxl.load_workbook(form)
    sheet = book["Readings"]
    row = sheet.max_row + 30
    for place, value in zip("BCDEF", ("garden-wall", 3650, 75, "pins", 11), strict=True):
        sheet[f"{place}{row}"] = value
    book.save(form)
    assert len(read_case(form, vocabulary=rulebook).areas[0].surfaces[0].readings) == before + 1


def test_a_sign_with_a_note_and_no_answer_is_a_fault_and_an_untouched_question_is_none(form, rulebook):
    row = sign_row(form, "gutter-defect-in-line")
    changed(form, ("Signs", f"B{row}", None))
    known = {fact.attribute for fact in read_case(form, vocabulary=rulebook).areas[0].facts}
    assert "gutter-defect-in-line" not in known
    assert "storey" in known
    changed(form, ("Signs", f"J{row}", "not seen from the ground"))
    assert any(f"Signs!B{row}: Answer: found an empty cell" in fault for fault in said(form, rulebook))


def test_unknown_and_missing_sheets_are_faults(form, rulebook):
    book = openpyxl.load_workbook(form)
    book["Readings"].title = "Reading"
    book.save(form)
    assert any("found the unknown sheet 'Reading'" in fault and "'Readings'" in fault for fault in said(form, rulebook))
    del book["Areas"]
    book.save(form)
    assert any("sheet: found no sheet Areas" in fault for fault in said(form, rulebook))


def test_what_is_no_workbook_is_a_fault_and_no_traceback(tmp_path, rulebook):
    path = tmp_path / "visit.xlsx"
    path.write_text("format: 1", encoding="utf-8")
    assert "a file that is no workbook" in said(path, rulebook)[0]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 40_000_000)
    assert "would unpack to more than can be read" in said(path, rulebook)[0]


def test_the_form_offers_every_question_with_its_answers_and_locks_nothing(form, rulebook):
    book = openpyxl.load_workbook(form)
    sheet = book["Signs"]
    asked = {sheet.cell(row, 12).value for row in range(2, sheet.max_row + 1)} - {None}
    assert asked == {name for name, question in rulebook.questions.items() if question.scope != "instrument"}
    row = sign_row(form, "storey")
    rule = next(rule for rule in sheet.data_validations.dataValidation if f"B{row}" in rule.cells)
    area = rule.formula1.removeprefix(f"={LISTS}!").replace("$", "")
    words = [cell[0].value for cell in book[LISTS][area]]
    assert words == [*rulebook.questions["storey"].words(), "unknown", "not-applicable", "not-inspected"]
    assert rulebook.questions["storey"].how in sheet.cell(row, 1).comment.text
    assert not any(one.protection.sheet for one in book)
    assert book[LISTS].sheet_state == "hidden"
    assert EXAMPLE in book.sheetnames


def test_what_the_form_has_no_place_for_is_said(rulebook):
    data = example_case().model_dump(mode="json", exclude_defaults=True)
    data["visits"][0]["facts"] = [{"attribute": "season", "value": "winter", "basis": "seen", "visit": "first"}]
    case = Case.model_validate_json(json.dumps(data))
    with pytest.raises(InvalidInput) as caught:
        write_form(case, rulebook)
    assert "the fact season of visit first that names a visit itself" in str(caught.value)
