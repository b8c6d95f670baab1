"""Every worked case of the casebook against its key. These cases are *tuned*: they show coherence, not accuracy."""

from __future__ import annotations

import random

import pytest

from engine.case.models import Area, Case
from engine.opinion import to_json

LIKELY = 0.66
HALF = 0.5


@pytest.fixture
def case(casebook, case_name):
    return casebook[case_name]


@pytest.fixture
def opinion(opinions, case_name):
    return opinions(case_name)


def keyed_areas(case, opinion):
    opinions = {area.id: area for area in opinion.areas}
    return [(key, opinions[key.area]) for key in case.key.areas]


def without_telling_evidence(case: Case) -> Case:
    """The case less the attributes and data that its key calls telling."""
    areas = []
    for area in case.areas:
        key = next((key for key in case.key.areas if key.area == area.id), None)
        areas.append(stripped(area, set(key.telling), set(key.telling_data)) if key else area)
    telling = {name for key in case.key.areas for name in key.telling}
    dwelling = case.dwelling.model_copy(update={"facts": kept(case.dwelling.facts, telling)})
    visits = tuple(visit.model_copy(update={"facts": kept(visit.facts, telling)}) for visit in case.visits)
    return case.model_copy(update={"areas": tuple(areas), "dwelling": dwelling, "visits": visits})


def kept(facts, telling):
    return tuple(fact for fact in facts if fact.attribute not in telling)


def stripped(area: Area, telling: set[str], data: set[str]) -> Area:
    surfaces = tuple(
        surface.model_copy(
            update={
                "facts": kept(surface.facts, telling),
                "readings": () if "readings" in data else surface.readings,
            }
        )
        for surface in area.surfaces
    )
    fields = {"samples": "samples", "air": "air", "surface-temperatures": "surface_temperatures"}
    fields |= {"timber": "timber", "loggers": "loggers"}
    emptied = {field: () for name, field in fields.items() if name in data}
    return area.model_copy(update={"facts": kept(area.facts, telling), "surfaces": surfaces, **emptied})


def shuffled(case: Case, seed: int) -> Case:
    """The same case with its facts, readings and the like written in another order."""
    dice = random.Random(seed)

    def mix(items):
        return tuple(dice.sample(items, len(items)))

    areas = []
    for area in case.areas:
        surfaces = tuple(
            surface.model_copy(update={name: mix(getattr(surface, name)) for name in ("facts", "readings", "features")})
            for surface in area.surfaces
        )
        names = ("facts", "air", "surface_temperatures", "samples", "timber", "not_inspected")
        areas.append(area.model_copy(update={"surfaces": surfaces} | {n: mix(getattr(area, n)) for n in names}))
    dwelling = case.dwelling.model_copy(update={"facts": mix(case.dwelling.facts)})
    visits = tuple(visit.model_copy(update={"facts": mix(visit.facts)}) for visit in case.visits)
    return case.model_copy(update={"areas": mix(areas), "dwelling": dwelling, "visits": visits})


def test_the_truth_leads_where_the_case_is_determined(case, opinion):
    for key, area in keyed_areas(case, opinion):
        if key.determined:
            assert area.determined, (area.why_not_determined, area.unknown_because)
            if key.level == "mechanism":
                mechanisms = {cause.mechanism for cause in area.causes if cause.id in key.truth}
                assert set(area.leading_mechanisms) >= mechanisms
            else:
                assert set(area.leading) == set(key.truth)


def test_a_case_that_cannot_be_determined_says_so_and_names_a_test_that_parts_what_is_open(case, opinion):
    for key, area in keyed_areas(case, opinion):
        if not key.determined:
            assert not area.determined
            assert area.why_not_determined
            named = {step.id for step in area.steps if step.kind != "action"}
            assert not key.parting_steps or named & set(key.parting_steps), named


def test_a_dry_place_is_reported_dry_or_open_but_never_wet(case, opinion):
    for key, area in keyed_areas(case, opinion):
        if not key.truth:
            assert area.no_active_damp.probability >= HALF


def test_every_truth_is_more_likely_than_not_and_no_wrong_cause_is_likely(case, opinion):
    for key, area in keyed_areas(case, opinion):
        beliefs = {cause.id: cause.probability for cause in area.causes}
        if key.determined:
            assert all(beliefs[cause] > HALF for cause in key.truth)
        assert not {cause for cause, belief in beliefs.items() if belief >= LIKELY} - set(key.truth)


def test_what_must_be_advised_is_advised(case, opinion):
    for key, area in keyed_areas(case, opinion):
        assert {step.id for step in area.steps} >= set(key.steps)
        assert {caution.id for caution in area.cautions} >= set(key.cautions)
        if key.timber:
            assert area.timber.state == key.timber


def test_what_a_junior_would_wrongly_say_is_not_said(case, opinion):
    for key, area in keyed_areas(case, opinion):
        if key.junior:
            assert next(cause.probability for cause in area.causes if cause.id == key.junior) < LIKELY


def test_without_the_telling_evidence_it_is_not_determined_and_the_parting_test_is_named(weighed, reasoner, case):
    opinion = weighed(reasoner, without_telling_evidence(case))
    for key, area in keyed_areas(case, opinion):
        if not (key.telling or key.telling_data):
            continue
        assert not area.determined
        open_causes = {cause.id for cause in area.causes if cause.probability >= 0.1}
        assert open_causes & set(key.truth), "the truth is no longer kept open"
        named = [step.id for step in area.steps if step.kind != "action"][:6]
        assert set(named) & set(key.parting_steps), named


def test_the_order_in_which_things_are_written_changes_not_a_byte(weighed, reasoner, case, opinion):
    assert to_json(weighed(reasoner, shuffled(case, seed=1))) == to_json(opinion)


def test_both_chainers_give_the_same_bytes(weighed, reasoner, python_reasoner, case, opinion):
    if reasoner.backend == python_reasoner.backend:
        pytest.skip("durable_rules is not installed here")
    assert to_json(weighed(python_reasoner, case)) == to_json(opinion)


def test_the_grown_sets_agree_with_all_sets(weighed, reasoner, case, opinion):
    exact = weighed(reasoner, case, exact=True)
    for grown, full in zip(opinion.areas, exact.areas, strict=True):
        beliefs = {cause.id: cause.probability for cause in full.causes}
        assert all(abs(cause.probability - beliefs[cause.id]) < 1e-4 for cause in grown.causes)


def test_building_facts_and_leanings_alone_determine_nothing(weighed, reasoner, case):
    """Dwelling facts and the area's leanings stay; everything that makes a finding goes."""
    rulebook = reasoner.rulebook
    finding_attributes = attributes_behind_findings(rulebook)
    data = {"readings", "samples", "air", "surface-temperatures", "timber", "loggers"}
    areas = tuple(stripped(area, finding_attributes, data) for area in case.areas)
    dwelling = case.dwelling.model_copy(update={"facts": kept(case.dwelling.facts, finding_attributes)})
    bare = case.model_copy(update={"areas": areas, "dwelling": dwelling})
    assert not any(area.determined for area in weighed(reasoner, bare).areas)


def attributes_behind_findings(rulebook):
    from engine.inference.conditions import attributes

    found = {seen.attribute for finding in rulebook.findings.values() for seen in finding.observed_by}
    for rule in rulebook.rules.values():
        if any(conclusion.finding for conclusion in rule.conclude):
            found |= attributes(rule.when)
    return found
