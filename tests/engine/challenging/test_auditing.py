"""Single parts of an audit: verdicts, grounds, proposed works, tests, names."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.challenging import challenge
from engine.challenging.auditing import NOTHING, stated
from engine.errors import InvalidInput
from engine.inference.facts import Fact
from engine.opinion.weighing import AreaFacts

PATH = ("raised-path", "back-room")


@pytest.fixture
def area(casebook):
    return casebook["raised-path"].areas[0]


def audit_of(reasoner, area, held, grounds=(), **facts):
    """An audit of an area of which these facts alone are known, all certain and seen."""
    known = {name.replace("_", "-"): value for name, value in facts.items()}
    facts = {name: Fact(name, value, origin="made up") for name, value in known.items()}
    return challenge(reasoner, area, AreaFacts(facts, (), (), (), ()), held, grounds)


def test_where_nothing_is_known_a_conclusion_is_left_open_and_its_checks_are_named(reasoner, area):
    audit = audit_of(reasoner, area, ("ground-rise",))
    assert audit.verdict in ("open", "differs")
    assert not audit.breaks
    assert {check.rival for check in audit.checks if not check.made} >= {"bridged-dpc", "residual-salts"}
    assert any(check.title in question for question in audit.questions for check in audit.checks)


def test_a_dry_place_is_agreed_to_be_dry_when_it_was_shown_to_be(audited):
    audit = audited("sound-house-for-a-buyer", "rear-room", ())
    assert audit.verdict == "agrees"
    assert audit.nothing_held
    assert "nothing wets this place now" in audit.summary
    assert {voice.id for voice in audit.supports} & {"core-wet", "capacitance-high", "free-water-at-base"}


def test_a_wet_place_is_not_agreed_to_be_dry(audited):
    audit = audited(*PATH, ())
    assert audit.verdict == "differs"
    assert audit.rivals[0].causes == ("bridged-dpc",)
    assert audit.rivals[0].standing == "better"


def test_a_cause_that_is_ruled_out_is_said_to_be_and_what_would_overturn_it(casebook, reasoner, known):
    from engine.challenging.weighed import weighed

    case = casebook["metallic-paper-in-a-dining-room"]
    found = weighed(reasoner, case.areas[0], known(case.id, case.areas[0]))
    out = [cause.id for cause in found.opinion.causes if any(e.hard for e in cause.exclusions)]
    assert out, "the case rules a cause out"
    audit = challenge(reasoner, case.areas[0], known(case.id, case.areas[0]), (out[0],))
    voice = next(voice for voice in audit.against if voice.kind == "exclusion")
    assert "Overturned by" in voice.because
    assert audit.rivals[0].odds == float("inf")


def test_grounds_alone_weigh_what_chaining_them_and_nothing_else_gives(reasoner, area, known, audited):
    grounds = ("tide-line-seen", "base-band-seen", "partition-foot-damp", "high-outside-ground")
    audit = audited(*PATH, ("ground-rise",), grounds)
    facts = known("raised-path", area).facts
    whole = reasoner.find(facts)
    alone = reasoner.find({name: facts[name] for name in grounds})
    believed = reasoner.believe(replace(alone, facts=whole.facts, masks=whole.masks)).posterior
    assert {finding for finding, _, _ in audit.grounds.findings} == {seen.finding for seen in alone.observations}
    assert audit.grounds.held[0].probability == pytest.approx(believed.marginals["ground-rise"])
    assert not audit.grounds.silent


def test_grounds_that_fit_a_rival_as_well_are_said_to(audited):
    audit = audited(*PATH, ("ground-rise",), ("pins-high", "base-band"))
    assert "bridged-dpc" in {cause for rival in audit.grounds.rivals for cause in rival.causes}
    assert {item.finding for item in audit.grounds.left_out} == {item.finding for item in audit.breaks}
    assert {check.rival for check in audit.grounds.missing} >= {"bridged-dpc", "residual-salts"}
    assert audit.grounds.held[0].probability < 0.66


def test_a_ground_that_the_case_does_not_record_is_named(audited, rulebook):
    audit = audited(*PATH, ("ground-rise",), ("salt-bloom", "trial-hole-fills"))
    assert rulebook.title("trial-hole-fills") in audit.grounds.unrecorded
    assert not {"trial-hole-fills"} & {finding for finding, _, _ in audit.grounds.findings}


def test_proposed_works_are_set_against_what_must_be_known_first(reasoner, area, rulebook):
    audit = audit_of(reasoner, area, ("ground-rise",), works_proposed="chemical-dpc", tide_line_seen="yes")
    assert audit.proposed.title == "chemical damp-proof course"
    first = {step for _, steps in audit.proposed.first for step in steps}
    assert rulebook.title("level-survey") in first
    assert audit_of(reasoner, area, ("ground-rise",), works_proposed="none").proposed is None
    work = next(work for work in audit.works if work.step == "inject-chemical-dpc")
    assert any(reason.startswith("not yet checked") for reason in work.reasons)


def test_the_parting_test_looks_for_what_was_not_observed_and_parts_the_two(audited, rulebook):
    audit = audited(*PATH, ("ground-rise",))
    step = rulebook.steps[audit.test.step]
    assert {"ground-rise", "bridged-dpc"} <= set(step.parts)
    seen = {voice.id for voice in (*audit.supports, *audit.against)}
    assert not seen & {result.finding for result in audit.test.results}
    assert audit.test.results[0].if_held != audit.test.results[0].if_rival


def test_names_are_checked_all_at_once_with_the_nearest(rulebook):
    with pytest.raises(InvalidInput) as fault:
        stated(rulebook, ["ground-rize"], ["pins-hig"])
    assert [problem.nearest for problem in fault.value.problems] == ["pins-high", "ground-rise"]
    with pytest.raises(InvalidInput):
        stated(rulebook, [NOTHING, "ground-rise"])
    assert stated(rulebook, [NOTHING]) == ()
    assert stated(rulebook, ["rain-through-wall", "bridged-dpc"]) == ("bridged-dpc", "rain-through-wall")


def test_a_place_that_is_dry_now_is_not_agreed_to_be_sound_while_a_cause_that_wets_is_still_open(audited):
    audit = audited("ceiling-stain-in-a-dry-june", "landing-ceiling", ())
    assert audit.verdict == "open"
    assert "roof, flashing or chimney letting rain in is still open" in audit.summary
    assert audit.rivals[0].causes == ("roof-or-chimney-ingress",)
    assert audit.test
