"""Every item of the checklist of contents stands in the report of a full case, and is said to be missing in a thin one.

The checklist follows what professional statements and court lists ask of a report (restated; no source read in full).
"""

from __future__ import annotations

import dataclasses
from datetime import date

import pytest

from engine.case import read_case
from engine.case.models import Photograph as CasePhotograph
from engine.case.photographs import read_photographs
from engine.reporting import make_report
from engine.reporting.blocks import Notice, Paragraph, Photograph, Picture, Points, Table
from engine.reporting.material import is_draft
from engine.reporting.opening import opening
from engine.rulebook.telling import Entry


def said(section):
    """All text of a section and of those under it, missing things apart."""
    return "\n".join(text for one in section.walk() for block in one.blocks for text in texts(block))


def texts(block):
    match block:
        case Paragraph(text, lead):
            return [lead, text]
        case Points(entries, _):
            return [text for entry in entries for text in entry_texts(entry)]
        case Table(caption, header, rows, _):
            return [caption, *header, *(cell for row in rows for cell in row)]
        case Notice(kind, title, text):
            return [] if kind == "missing" else [title, text]
        case Picture(figure):
            return [figure.title, figure.alt, *texts(figure.table)]
        case Photograph():
            return [block.caption, block.alt, block.about]


def entry_texts(entry: Entry):
    return [entry.text, *(text for under in entry.under for text in entry_texts(under))]


def missing(section):
    return " ".join(
        block.text
        for one in section.walk()
        for block in one.blocks
        if isinstance(block, Notice) and block.kind == "missing"
    )


def section(report, name):
    found = [one for one in report.walk() if one.id == name]
    assert len(found) == 1, name
    return found[0]


CHECKLIST = [
    ("commission", ["Ada Client", "1 Invented Row", "invented end-of-terrace house"], "client; address; inspector"),
    ("commission", ["Ines Inspector", "invented chartered surveyor", "none; sells no works"], "qualifications"),
    ("commission", ["11 March 2026", "20 March 2026", "2 March 2026"], "interests"),
    ("scope", ["Say why the back room is damp", "whole elevation"], "brief is not stated"),
    ("scope", ["walked round"], "how far the inspection went"),
    ("weather", ["showers", "7", "82"], "weather before and during the visits is not recorded"),
    ("construction", ["solid brick", "225 mm", "slate"], "construction"),
    ("construction", ["Alterations", "Listed or in a conservation area"], "construction"),
    ("history", ["occupant", "over seasons or years", "since the path was laid"], "Nothing told"),
    (
        "people",
        ["greater risk", "No cause in this report is put down to the people"],
        "not recorded. It was not assumed",
    ),
    ("not-inspected", ["fitted bookcase", "could not be moved", "nothing behind it is ruled out"], "not inspected"),
    (
        "observations",
        ["roof, chimney and rainwater", "drainage", "services", "heating and ventilation", "timber"],
        "roof",
    ),
    ("observations", ["outside walls", "A tide line across the wall"], "drainage; services"),
    ("instruments", ["pins", "wood percent, 0 to 40", "18.2 where 18 ± 1 is right (passed)"], "No instruments"),
    ("readings", ["lime plaster", "capacitance, relative", "27.4 (27.9, 26.7)", "Dry references"], "No electrical"),
    ("readings", ["Depth [mm]", "no percentage of water", "partition at 1 m"], "No electrical"),
    ("climate", ["19.5", "52", "15.8", "room.csv"], "no dew point is known"),
    ("samples", ["3.734", "3.413", "3.346", "nitrate medium"], "No samples"),
    ("timber-readings", ["16.4 (16.7, 16.2)", "skirting"], "No timber was read"),
    ("reckoned", ["dew point of the room air", "Coldest surface temperature less the dew point"], None),
    (
        "causes",
        ["For: bridged damp-proof course", "Against: bridged damp-proof course", "Missing:", "Starting odds"],
        None,
    ),
    ("causes", ["The starting odds are those of the class: solid wall, ground floor"], None),
    ("joint", ["Together at work", "Bridged damp-proof course"], None),
    ("misfits", ["bridged damp-proof course"], None),
    ("rivals", ["gate of bridged damp-proof course", "rising damp from the ground"], None),
    ("steadiness", ["seed 0", "In nine of ten"], None),
    ("change", ["Open questions whose answer would change that"], None),
    ("how", ["Why: bridged damp-proof course", "Observed:"], None),
    ("timber", ["State."], "Timber in or near this place was not inspected"),
    (
        "actions",
        ["Lower the outside ground or paving", "Builder", "Within weeks", "Success is", "Consent:"],
        "No action",
    ),
    ("tests", ["Parts", "Cost; what it disturbs", "Why:"], None),
    ("monitoring", ["Re-inspection", "2026"], None),
    ("photographs", ["Garden wall from the left", "a tide line", "SHA-256"], "No photographs"),
    ("sign-off", ["Bridged damp-proof course", "agrees", "Ines Inspector, 20 March 2026"], "this report is a draft"),
    ("sources", ["at second hand", "from memory", "trade judgement of this rule base"], None),
    ("limits", ["trade judgement", "invented", "The inspector concludes and signs"], None),
    ("pins", ["Rule base", "Case", "dampwright", "Flesch reading ease"], None),
    ("cautions", ["Asbestos may be present", "Defer to:"], None),
]


@pytest.mark.parametrize(
    ("name", "expected", "gap"), CHECKLIST, ids=lambda value: value if isinstance(value, str) else ""
)
def test_an_item_stands_in_a_full_report_and_is_said_to_be_missing_in_a_thin_one(
    name, expected, gap, full_report, thin_report
):
    told = said(section(full_report, name))
    for text in expected:
        assert text in told, (name, text)
    if gap is not None:
        assert gap in missing(section(thin_report, name))


def test_a_full_report_lacks_nothing_but_what_the_case_cannot_hold(full_report):
    lacking = {one.id: missing(one) for one in full_report.walk() if not one.sections and missing(one)}
    assert set(lacking) <= {"instruments"}, lacking


def test_a_thin_report_determines_nothing_and_names_no_cause_as_found(thin_report):
    assert "Not determined" in said(section(thin_report, "found"))
    assert "Determined:" not in said(section(thin_report, "found"))


def test_the_householders_page_comes_first_and_says_what_the_technical_part_says(full, full_report):
    assert [part.id for part in full_report.parts] == ["householder", "technical"]
    home = said(section(full_report, "home-found"))
    leading = full.places[0].opinion.leading
    assert leading
    for cause in leading:
        assert full.rulebook.causes[cause].plain in home
        assert full.rulebook.title(cause) in said(section(full_report, "found"))
    assert "The inspector has come to the same view and has signed it." in home


def test_one_audience_gets_its_part_alone(full):
    assert [part.id for part in make_report(full, "householder").parts] == ["householder"]
    assert [part.id for part in make_report(full, "technical").parts] == ["technical"]


def test_section_ids_are_unlike_each_other(full_report):
    names = [one.id for one in full_report.walk()]
    assert len(names) == len(set(names))


def test_every_row_of_every_table_is_as_wide_as_its_header(full_report, thin_report):
    for report in (full_report, thin_report):
        for one in report.walk():
            for block in one.blocks:
                if isinstance(block, Table):
                    assert {len(row) for row in block.rows} <= {len(block.header)}, block.caption
                    assert all(column < len(block.header) for column in block.figures)


def concluded(full, **changes):
    """The same material with the inspector's conclusion changed."""
    (place,) = full.places
    conclusion = place.area.conclusion.model_copy(update=changes)
    area = place.area.model_copy(update={"conclusion": conclusion})
    changed = dataclasses.replace(place, subject=dataclasses.replace(place.subject, area=area))
    explained = {name: getattr(place, name) for name in ("verdict", "how_sure", "misfits", "change")}
    changed.__dict__.update(explained)  # what was reckoned once is the same here
    return dataclasses.replace(full, places=(changed,))


def test_an_unsigned_report_is_a_draft_and_a_signed_one_is_not(full, thin):
    assert not is_draft(full)
    assert is_draft(thin)
    unsigned = make_report(concluded(full, signed_by=None, signed_on=None))
    assert unsigned.draft
    assert "is not signed" in missing(section(unsigned, "found"))
    assert any(isinstance(block, Notice) and block.kind == "draft" for block in section(unsigned, "found").blocks)
    assert "This page is a draft." in said(section(unsigned, "home-found"))


def test_a_conclusion_that_differs_asks_for_a_reason_and_stays_a_draft_without_one(full):
    differs = make_report(concluded(full, causes=("ground-rise",)))
    assert differs.draft
    assert "gives no reason" in missing(section(differs, "found"))
    reasoned = make_report(concluded(full, causes=("ground-rise",), reason_for_difference="Seen at the trial hole."))
    assert not reasoned.draft
    assert "Seen at the trial hole." in said(section(reasoned, "found"))
    assert full.rulebook.causes["ground-rise"].plain in said(section(reasoned, "home-found"))
    assert "another view" in said(section(reasoned, "home-found"))


def advised(full, *steps):
    """The same material with other steps advised."""
    (place,) = full.places
    opinion = dataclasses.replace(place.opinion, steps=steps)
    changed = dataclasses.replace(place, subject=dataclasses.replace(place.subject, opinion=opinion))
    changed.__dict__.update({name: getattr(place, name) for name in ("verdict", "how_sure", "misfits", "change")})
    return dataclasses.replace(full, places=(changed,))


def test_works_that_cannot_be_undone_are_marked_held_back_and_never_among_the_first_steps(full):
    first, *others = full.places[0].opinion.steps
    held = dataclasses.replace(first, held_back=("its rivals are not checked",))
    report = make_report(advised(full, held, *others))
    assert f"1. {first.title[:1].upper()}{first.title[1:]} (held back)" in said(section(report, "actions"))
    assert "its rivals are not checked" in said(section(report, "actions"))
    for name in ("first", "home-first"):
        assert first.title.lower() not in said(section(report, name)).lower()
        assert first.plain not in said(section(report, name))


def test_what_cannot_wait_for_days_comes_first(full):
    first, second, *others = full.places[0].opinion.steps
    urgent = dataclasses.replace(second, urgency="hours")
    report = make_report(advised(full, first, urgent, *others))
    (table,) = section(report, "first").blocks
    assert table.rows[0][0].lower() == second.title.lower()
    (points,) = section(report, "home-first").blocks
    assert points.entries[0].text.startswith(second.plain)


def test_the_programs_opinion_is_labelled_and_apart_from_the_inspectors(full_report):
    leads = [block.lead for block in section(full_report, "found").blocks if isinstance(block, Paragraph)]
    assert leads[:2] == ["The program's opinion. ", "The inspector's own conclusion. "]


def test_private_facts_are_counted_and_not_printed(full):
    dwelling = full.case.dwelling
    facts = tuple(
        fact.model_copy(update={"private": True, "note": "a very private matter"})
        if fact.attribute == "vulnerable-occupant"
        else fact
        for fact in dwelling.facts
    )
    case = full.case.model_copy(update={"dwelling": dwelling.model_copy(update={"facts": facts})})
    report = make_report(dataclasses.replace(full, case=case))
    everything = "\n".join(said(part) for one in report.parts for part in one.sections)
    assert "a very private matter" not in everything
    assert "One fact is marked private" in said(section(report, "people"))


def test_a_missing_or_changed_photograph_warns_and_the_report_is_made_all_the_same(full):
    (area,) = full.case.areas
    photographs = (
        CasePhotograph(file="gone.jpg", caption="Gone", alt="nothing"),
        CasePhotograph(file="garden-wall.png", caption="Changed", alt="a wall", sha256="0" * 64),
        CasePhotograph(file="garden-wall.png", caption="Held back", alt="a person", private=True),
    )
    case = full.case.model_copy(update={"areas": (area.model_copy(update={"photographs": photographs}),)})
    held = read_photographs(case, full.folder, longest_side=50)
    found = section(make_report(dataclasses.replace(full, case=case, photographs=held)), "photographs")
    assert "Gone.jpg: is not there." in missing(found)
    assert "is not the file that was recorded" in missing(found)
    assert "Held back" not in said(found)


def test_dates_come_from_the_case(full_report, thin_report):
    assert full_report.dated == date(2026, 3, 20)
    assert thin_report.dated == date(2026, 1, 5)


def test_duties_are_there_only_when_asked_for(full, full_report, book):
    from engine.duties import sheets

    assert "duties" not in {one.id for one in full_report.walk()}
    asked = sheets(book, jurisdiction="england", aware_on=date(2026, 3, 2), today=date(2026, 3, 20))
    report = make_report(dataclasses.replace(full, duties=asked))
    told = said(section(report, "duties"))
    assert "possible duty, take advice" in told.lower()
    assert "16 March 2026" in told  # ten working days after Monday 2 March


def test_several_places_each_have_their_own_part_of_a_section(report_cases, weighed, tmp_path):
    data = report_cases.thin_data()
    data["areas"].append({"id": "attic", "title": "Attic"})
    path = report_cases.write(data, tmp_path)
    found, *_ = opening(weighed(path))
    assert [one.title for one in found.sections] == ["Attic", "Room"]
    alone, *_ = opening(weighed(path, areas=["attic"]))
    assert not alone.sections
    assert "Room" not in said(alone)


def test_every_list_that_the_report_reads_names_records_that_there_are(book):
    from engine.reporting.grouping import CONSTRUCTION, OBSERVED, PEOPLE, STANDARD, WEATHER
    from engine.reporting.wordlists import pairs

    lists = (STANDARD, CONSTRUCTION, WEATHER, PEOPLE, *OBSERVED)
    named = [name for one in lists for name in book.words[one].words]
    assert len(named) == len(set(named))
    assert set(named) <= set(book.questions)
    assert set(book.words["report-asks"].words) <= set(book.words[CONSTRUCTION].words)
    assert set(book.words["report-accounts"].words) <= set(book.topics)
    told = set(pairs(book, "householder-cautions"))
    assert told | {"defer-to-local-codes"} == set(book.cautions)


def test_the_reader_of_cases_takes_the_full_and_the_hostile_case(report_cases, book, tmp_path):
    assert read_case(report_cases.write(report_cases.full_data(), tmp_path / "full"), vocabulary=book)
    hostile, marks = report_cases.hostile_data()
    assert len(marks) >= 40
    assert read_case(report_cases.write(hostile, tmp_path / "hostile"), vocabulary=book)
