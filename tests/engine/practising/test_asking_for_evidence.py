"""What a trainee is answered: the case's records, at the places named, for what it costs, and never the key."""

from __future__ import annotations

import pytest

from engine.case.keys import AreaKey
from engine.practising.asking import SILENT, Request, reply
from engine.practising.costs import NOTHING, cost
from engine.practising.exercise import given
from engine.practising.measuring import NotMeasured
from engine.practising.pieces import QUESTION, answer_pieces, measured_pieces


@pytest.fixture(scope="module")
def path(trainees, rulebook):
    return trainees.worked("raised-path", rulebook)


@pytest.fixture
def ask(path, rulebook):
    def asked(kind, *arguments, seen=(), **named):
        return reply(path, rulebook, Request(kind, *arguments, **named), frozenset(seen))

    return asked


def test_an_answer_is_what_the_case_records_with_its_basis_and_note(ask, rulebook):
    found = ask("question", "outside-ground-clearance-mm")
    assert found.lines == ("-60 mm, measured",)
    assert found.pieces == ((QUESTION, "outside-ground-clearance-mm"),)
    assert found.cost == cost(rulebook, "meter")
    assert ask("question", "wetter-side").lines == (
        "wetter towards the outside or soil, measured; drill dust from 30 mm and from 190 mm",
    )


def test_what_the_case_does_not_say_is_said_to_be_so_and_costs_nothing(ask):
    found = ask("question", "green-growth-outside")
    assert found.lines == (SILENT,)
    assert found.pieces == ()
    assert found.cost == NOTHING


def test_what_was_asked_before_is_told_again_for_nothing(ask):
    first = ask("question", "tide-line-seen")
    again = ask("question", "tide-line-seen", seen=first.pieces)
    assert again.lines == first.lines
    assert (again.pieces, again.cost) == ((), NOTHING)


def test_a_place_named_gives_the_nearest_reading_and_says_where_it_was_taken(ask, rulebook):
    found = ask("press", "pins", surface="garden", x_mm=1450.0, heights_mm=(80.0, 520.0))
    assert found.lines[1:] == ("1500, 75: 26.1 27.3 26.9", "1500, 500: 20.4 20.2 20.7")
    assert found.cost == cost(rulebook, "press", 2)


def test_a_column_and_a_row_give_every_place_in_them(ask, path):
    wall = path.area.surfaces[0]
    column = ask("press", "pins", surface="garden", x_mm=900.0)
    assert len(column.pieces) == sum(r.x_mm == 900 and r.instrument == "pins" for r in wall.readings) == 6
    row = ask("press", "capacitance", surface="garden", heights_mm=(300.0,))
    assert len(row.pieces) == sum(r.y_mm == 300 and r.instrument == "plate" for r in wall.readings) == 8


def test_where_nothing_was_pressed_it_says_so_and_between_which_bounds_it_was(ask):
    found = ask("press", "pins", surface="garden", x_mm=1500.0, heights_mm=(2200.0,))
    assert "not read there" in found.lines[1]
    assert "from 300 to 3600 along and from 75 to 1250 up" in found.lines[1]
    assert (found.pieces, found.cost) == ((), NOTHING)


def test_an_unknown_instrument_or_surface_is_named_with_those_there_are(ask):
    with pytest.raises(NotMeasured, match="pins, plate"):
        ask("press", "thermal-camera", x_mm=0.0)
    with pytest.raises(NotMeasured, match="garden-wall, floor"):
        ask("press", "plate", x_mm=0.0)
    with pytest.raises(NotMeasured, match="no surface 'ceiling'"):
        ask("press", "pins", surface="ceiling", x_mm=0.0)


def test_samples_are_told_as_percent_of_dry_mass(ask):
    """First sample: 3.734 g as found, 3.413 g at 75 %, 3.346 g dry."""
    line = ask("samples").lines[0]
    assert f"{100 * (3.734 - 3.346) / 3.346:.1f} % water as found" in line
    assert f"{100 * (3.413 - 3.346) / 3.346:.1f} % at 75 % humidity" in line


def test_readings_of_several_visits_come_with_their_days(trainees, rulebook):
    one = trainees.worked("gutter-mended-in-march", rulebook)
    wall = one.area.surfaces[0]
    at = wall.readings[0]
    found = reply(one, rulebook, Request("press", at.instrument, wall.id, at.x_mm, (at.y_mm,)), frozenset())
    visits = {r.visit for r in wall.readings if (r.x_mm, r.y_mm, r.instrument) == (at.x_mm, at.y_mm, at.instrument)}
    assert len(visits) > 1
    assert all(one.day(visit) in found.lines[1] for visit in visits)


def test_asking_for_all_of_it_finds_every_piece(trainees, rulebook):
    for one in list(trainees.all_worked(rulebook))[::9]:
        seen = set(given(one, rulebook))
        for request in [*trainees.measurements(one), *(Request("question", name) for name in rulebook.questions)]:
            try:
                seen |= set(reply(one, rulebook, request, frozenset(seen)).pieces)
            except NotMeasured:
                continue
        assert seen >= answer_pieces(one.case, one.area) | measured_pieces(one.case, one.area)


def test_no_answer_comes_from_the_key(trainees, rulebook):
    """Every reply is the same whatever the key says, down to a key that is turned upside down."""
    from dataclasses import replace

    for one in list(trainees.all_worked(rulebook))[::12]:
        other = AreaKey(area=one.area.id, truth=("embedded-metal",), grade="synthetic", junior="ground-rise")
        turned = replace(one, key=other, lesson="Something else.")
        known = {piece[1] for piece in answer_pieces(one.case, one.area)}
        for request in [*trainees.measurements(one), *(Request("question", name) for name in sorted(known))]:
            try:
                assert reply(one, rulebook, request, ()) == reply(turned, rulebook, request, ())
            except NotMeasured:
                continue


def test_nothing_answered_before_the_conclusion_holds_the_keys_text_or_the_cases_title(trainees, rulebook):
    for one in trainees.all_worked(rulebook):
        known = {piece[1] for piece in answer_pieces(one.case, one.area)}
        said = []
        for request in [*trainees.measurements(one), *(Request("question", name) for name in sorted(known))]:
            try:
                found = reply(one, rulebook, request, ())
            except NotMeasured:
                continue
            said += [found.title, *found.lines]
        text = " ".join(" ".join(said).lower().split())
        secrets = [one.lesson, one.key.junior_says, one.key.source, one.case.title]
        secrets += [rulebook.title(cause) for cause in (*one.key.truth, *([one.key.junior] if one.key.junior else []))]
        for secret in filter(None, secrets):
            assert " ".join(secret.lower().split()) not in text, (one.source.name, one.area.id, secret)
