"""Which fact holds: the narrowest place, then the later visit, then the surer word; a missing answer is never no."""

from datetime import date

import pytest

from engine.case.models import Area, Case, Dwelling, Fact, Surface, Visit
from engine.inference.facts import NOT_APPLICABLE, Sureness
from engine.opinion.resolving import resolve
from engine.rulebook.models import Attribute

ATTRIBUTES = {
    "tide": Attribute(id="tide", title="tide line", topic="t", scope="surface", kind="yes-no"),
    "walls": Attribute(id="walls", title="walls", topic="t", scope="dwelling", kind="choice"),
}


def fact(attribute, value, basis="seen", **more):
    return Fact(attribute=attribute, value=value, basis=basis, **more)


def surface(name, *facts):
    return Surface(id=name, kind="wall", width_mm=1000.0, height_mm=2000.0, material="plaster", facts=facts)


def resolved(*, dwelling=(), visits=None, area=(), surfaces=()):
    place = Area(id="room", title="Room", facts=tuple(area), surfaces=tuple(surfaces))
    case = Case(
        format=1,
        id="c",
        title="c",
        dwelling=Dwelling(title="house", facts=tuple(dwelling)),
        visits=visits or (Visit(id="first", on=date(2026, 1, 5)),),
        areas=(place,),
    )
    return resolve(case, place, ATTRIBUTES)


TWO_VISITS = (Visit(id="first", on=date(2026, 1, 5)), Visit(id="second", on=date(2026, 3, 5)))


def test_a_fact_of_the_area_hides_the_same_fact_of_the_dwelling():
    found = resolved(dwelling=[fact("walls", "solid")], area=[fact("walls", "cavity")])
    assert found.facts["walls"].value == "cavity"


def test_a_fact_of_a_surface_hides_the_same_fact_of_the_area():
    found = resolved(area=[fact("tide", "no")], surfaces=[surface("north", fact("tide", "yes"))])
    assert found.facts["tide"].value == "yes"


def test_a_narrower_fact_wins_even_when_it_is_less_sure():
    found = resolved(dwelling=[fact("walls", "solid")], area=[fact("walls", "cavity", sureness="not-sure")])
    assert found.facts["walls"].value == "cavity"
    assert found.facts["walls"].sureness is Sureness.NOT_SURE


def test_the_later_visit_wins_at_one_place():
    claims = [fact("tide", "yes", visit="first"), fact("tide", "no", visit="second")]
    for order in (claims, claims[::-1]):
        assert resolved(visits=TWO_VISITS, area=order).facts["tide"].value == "no"


@pytest.mark.parametrize("answer", ["unknown", "not-inspected"])
def test_an_unsettled_answer_is_no_fact_and_never_no(answer):
    assert "tide" not in resolved(area=[fact("tide", answer)]).facts


def test_an_unsettled_later_answer_leaves_the_earlier_one_standing():
    claims = [fact("tide", "yes", visit="first"), fact("tide", "unknown", visit="second")]
    assert resolved(visits=TWO_VISITS, area=claims).facts["tide"].value == "yes"


def test_what_was_not_inspected_is_listed_unless_it_is_known_after_all():
    assert resolved(area=[fact("tide", "not-inspected")]).not_inspected == ("tide",)
    claims = [fact("tide", "not-inspected", visit="first"), fact("tide", "yes", visit="second")]
    assert resolved(visits=TWO_VISITS, area=claims).not_inspected == ()


def test_not_applicable_is_known():
    assert resolved(area=[fact("tide", "not-applicable")]).facts["tide"].value == NOT_APPLICABLE


@pytest.mark.parametrize(
    ("said", "counts_as"), [("certain", "fairly-sure"), ("fairly-sure", "not-sure"), ("not-sure", "not-sure")]
)
def test_what_was_told_counts_a_grade_less_and_is_not_direct(said, counts_as):
    found = resolved(area=[fact("tide", "yes", basis="told", sureness=said)]).facts["tide"]
    assert found.sureness.word == counts_as
    assert not found.direct


def test_what_was_seen_beats_what_was_told_at_the_same_place_and_visit():
    found = resolved(area=[fact("tide", "no", basis="told"), fact("tide", "yes")])
    assert found.facts["tide"].value == "yes"
    assert not found.doubts


def test_two_equally_sure_claims_that_disagree_leave_it_open_with_a_doubt():
    found = resolved(area=[fact("tide", "no"), fact("tide", "yes")])
    assert "tide" not in found.facts
    assert found.doubts == ("tide line: recorded both as no and yes, equally surely, so it is left open",)


def test_a_yes_on_one_surface_stands_for_the_area():
    found = resolved(surfaces=[surface("north", fact("tide", "no")), surface("south", fact("tide", "yes"))])
    assert found.facts["tide"].value == "yes"


def test_surfaces_that_differ_in_a_choice_leave_it_open_with_a_doubt():
    found = resolved(surfaces=[surface("a", fact("walls", "solid")), surface("b", fact("walls", "cavity"))])
    assert "walls" not in found.facts
    assert found.doubts == ("walls: the surfaces of this area differ, so it is left open",)


def test_the_order_in_which_facts_are_written_changes_nothing():
    claims = [
        fact("tide", "yes", visit="first", sureness="not-sure"),
        fact("tide", "yes", visit="second", by="A. Nother"),
        fact("tide", "yes", visit="second", basis="measured"),
        fact("walls", "solid", basis="told"),
        fact("walls", "solid"),
    ]
    assert resolved(visits=TWO_VISITS, area=claims) == resolved(visits=TWO_VISITS, area=claims[::-1])


def test_a_fact_of_one_surface_does_not_speak_for_an_area_that_says_otherwise():
    places = [surface("outer", fact("walls", "cavity")), surface("partition")]
    assert resolved(area=[fact("walls", "solid")], surfaces=places).facts["walls"].value == "solid"


def test_a_fact_of_one_surface_stands_for_an_area_that_says_nothing_itself():
    places = [surface("outer", fact("walls", "cavity")), surface("partition")]
    assert resolved(dwelling=[fact("walls", "solid")], surfaces=places).facts["walls"].value == "cavity"


def test_a_yes_of_one_surface_hides_a_no_of_the_area():
    places = [surface("outer", fact("tide", "yes")), surface("partition")]
    assert resolved(area=[fact("tide", "no")], surfaces=places).facts["tide"].value == "yes"
