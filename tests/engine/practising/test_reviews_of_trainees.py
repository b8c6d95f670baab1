"""Scripted trainees get the reviews that they deserve: one who asks everything and takes the bait, and a good one."""

from __future__ import annotations

import math

import pytest

from engine.practising.asking import Request
from engine.practising.pieces import answer_pieces, measured_pieces
from engine.scoring import brier

CASE = "raised-path"


def said(review, section):
    """Everything that a section of a review says."""
    return " ".join(text for one in review.sections if one.id == section for text in (*one.sentences, *one.points))


@pytest.fixture(scope="module")
def poor(trainees, rulebook, reasoner, tmp_path_factory):
    """Asks every question but those of safety, reads one column with pins, and names what the seller would."""
    trainee = trainees.Trainee(trainees.worked(CASE, rulebook), reasoner, tmp_path_factory.mktemp("poor"))
    trainee.ask(*(name for name, question in rulebook.questions.items() if not question.safety))
    trainee.practice.ask(Request("press", "pins", "garden-wall", 1500.0), "press")
    return trainee.conclude({"ground-rise": 0.95}, "no-evidence-of-risk", ["inject-chemical-dpc"], [])


@pytest.fixture(scope="module")
def good(trainees, rulebook, reasoner, tmp_path_factory):
    """Safety first, then the instruments, then questions in the order of their worth."""
    trainee = trainees.Trainee(trainees.worked(CASE, rulebook), reasoner, tmp_path_factory.mktemp("good"))
    trainee.measure()
    trainee.follow_the_inquiry()
    cautions = [one.id for one in reasoner_opinion(trainee).cautions]
    return trainee.conclude({"bridged-dpc": 0.9, "ground-rise": 0.1}, "watch", ["lower-outside-ground"], cautions)


def reasoner_opinion(trainee):
    """What the program itself would say on all of the case."""
    from engine.opinion.weighing import gather, weigh_area

    one = trainee.exercise
    return weigh_area(trainee.reasoner, one.area, gather(trainee.reasoner, one.case, one.area, one.folder))


def test_the_cause_is_judged_by_the_key(poor, good):
    assert (poor.verdict, poor.missed, poor.added) == ("wrong", ("bridged-dpc",), ("ground-rise",))
    assert (good.verdict, good.missed, good.added) == ("right", (), ())
    assert "bridged damp-proof course" in said(poor, "cause")
    assert said(good, "cause").startswith("Right: bridged damp-proof course.")


def test_the_score_is_that_of_what_was_stated_and_a_missed_cause_counts_as_given_nothing(poor, good):
    assert poor.brier == pytest.approx(brier([0.95, 0.0], [False, True]))
    assert good.brier == pytest.approx(brier([0.9, 0.1], [True, False]))


def test_asking_everything_is_told_by_what_it_took_for_nothing(poor, good):
    assert poor.items > 250
    assert poor.idle / poor.items > 0.75
    assert "tires nobody" in said(poor, "evidence")
    assert good.items < poor.items / 3
    assert good.order.reached
    assert good.order.early == 1.0
    assert poor.order.early < 0.6
    assert "a good order" in said(good, "order")


def test_the_trap_is_explained_by_the_rules_that_break_it_and_those_that_lead_into_it(poor, good, rulebook):
    assert (poor.trap.cause, poor.trap.fallen, poor.trap.stated) == ("ground-rise", True, 0.95)
    assert [one.finding for one in poor.trap.breaks] == ["wetter-towards-outside", "partitions-damp-at-foot"]
    assert all(one.seen for one in poor.trap.breaks)
    text = said(poor, "traps")
    assert "You had this before you" in text
    misleading = [rule for rule in rulebook.rules.values() if rule.misleads.rstrip(".") in text]
    assert misleading
    for rule in misleading:
        assert rule.title in text
        assert any(c.leaning == "ground-rise" or c.finding is not None for c in rule.conclude)
    assert not good.trap.fallen
    assert "You did not take the easy answer" in said(good, "traps")


def test_safety_that_was_never_asked_is_named(poor, good):
    assert len(poor.safety.unasked) == poor.safety.questions == 12
    assert {one.caution for one in poor.safety.missed} >= {"asbestos-possible", "lead-paint"}
    assert "People come before walls" in said(poor, "safety")
    assert good.safety.unasked == ()
    assert good.safety.missed == ()


def test_works_that_cannot_be_undone_are_held_until_their_checks(poor, good):
    assert poor.steps_too_early == ("inject-chemical-dpc",)
    assert "cannot be undone" in said(poor, "judgement")
    assert poor.steps_missed == ("lower-outside-ground",)
    assert (good.steps_too_early, good.steps_missed) == ((), ())


def test_timber_taken_too_lightly_is_said(poor, good):
    assert (poor.timber_judged, good.timber_judged) == ("too-light", "right")
    assert "Timber is the part that may give way" in said(poor, "judgement")


def test_what_would_still_have_told_is_named_most_first(poor, good, reasoner):
    bits = [one.bits for one in poor.missed_evidence]
    assert bits == sorted(bits, reverse=True)
    assert all(one >= reasoner.rulebook.parameter("practice-missed-from") for one in bits)
    assert not good.missed_evidence or good.missed_evidence[0].bits < 0.3


def test_the_replay_begins_at_the_brief_and_ends_at_the_whole_evidence(good):
    first, *between, last = good.replay
    assert (first.kind, last.kind) == ("brief", "whole")
    assert [one.number for one in between] == list(range(1, len(between) + 1))
    assert last.beliefs[0][0] == "bridged-dpc"
    assert all(one.bits >= 0 and math.isfinite(one.bits) for one in good.replay)


def test_a_fair_trainee_on_an_open_case_is_praised_for_staying_unsure(trainees, rulebook, reasoner, tmp_path):
    trainee = trainees.Trainee(trainees.worked("seller-says-rising-damp", rulebook), reasoner, tmp_path)
    trainee.follow_the_inquiry(12)
    review = trainee.conclude({"bridged-dpc": 0.4, "ground-rise": 0.3}, steps=["level-survey"])
    assert not review.settled_by_key
    assert "you stayed unsure" in said(review, "cause")
    assert not set(review.steps_missed) & set(trainee.exercise.key.parting_steps)


def test_a_firm_trainee_on_an_open_case_is_told_so(trainees, rulebook, reasoner, tmp_path):
    trainee = trainees.Trainee(trainees.worked("seller-says-rising-damp", rulebook), reasoner, tmp_path)
    review = trainee.conclude({"ground-rise": 0.95})
    assert "cannot be settled" in said(review, "cause")


def test_saying_that_nothing_wets_a_dry_place_is_right(trainees, rulebook, reasoner, tmp_path):
    trainee = trainees.Trainee(trainees.worked("sound-house-for-a-buyer", rulebook), reasoner, tmp_path)
    review = trainee.conclude({"no-active-damp": 0.8})
    assert review.verdict == "right"
    assert review.brier == pytest.approx(0.04)
    assert "takes as much care" in said(review, "cause")


def test_one_cause_of_two_is_right_as_far_as_it_goes(trainees, rulebook, reasoner, tmp_path):
    trainee = trainees.Trainee(trainees.worked("gutter-and-bathroom-air", rulebook), reasoner, tmp_path)
    review = trainee.conclude({"rainwater-goods": 0.9})
    assert (review.verdict, review.missed) == ("missed-some", ("humid-air-condensation",))
    assert "What speaks for condensation from humid room air" in said(review, "traps")


def test_what_evidence_told_is_the_divergence_of_the_beliefs_over_all_sets(trainees, rulebook, reasoner):
    """Against the definition by hand, over every set of causes that the posterior holds."""
    from engine.practising.exercise import given
    from engine.practising.replay import Replay

    one = trainees.worked(CASE, rulebook)
    replay = Replay(reasoner, one)
    seen = given(one, rulebook) | measured_pieces(one.case, one.area)
    for piece in (("question", "short-length-matches-outside"), ("question", "black-mould-seen")):
        before, after = replay.state(seen), replay.state(seen | {piece})
        old, new = (dict(state.belief.posterior.sets(20_000)) for state in (before, after))
        by_hand = sum(p * math.log2(p / old[causes]) for causes, p in new.items() if p > 0 and old.get(causes, 0) > 0)
        assert by_hand > 0.01
        assert replay.told(before, after) == pytest.approx(by_hand, rel=0.05)
    assert replay.told(replay.state(seen), replay.state(seen)) == 0


def test_a_review_is_the_same_again_and_everything_in_it_is_plain_data(trainees, rulebook, reasoner, tmp_path):
    from engine.opinion.serialising import to_json

    trainee = trainees.Trainee(trainees.worked("plume-under-a-sill", rulebook), reasoner, tmp_path)
    trainee.ask("tide-line-seen", "storey")
    trainee.conclude({"opening-ingress": 0.5})
    assert to_json(trainee.review()) == to_json(trainee.review())


def test_every_worked_area_can_be_reviewed_with_everything_and_with_nothing(trainees, rulebook, reasoner, tmp_path):
    for number, one in enumerate(list(trainees.all_worked(rulebook))[::29]):
        trainee = trainees.Trainee(one, reasoner, tmp_path / str(number))
        whole = answer_pieces(one.case, one.area) | measured_pieces(one.case, one.area)
        review = trainee.conclude({one.key.junior: 0.6} if one.key.junior else {"no-active-damp": 0.6})
        assert {section.id for section in review.sections} >= {"cause", "confidence", "evidence", "order", "judgement"}
        assert len(review.missed_evidence) <= len(whole)
        for section in review.sections:
            for text in (*section.sentences, *section.points):
                assert text[0] == text[0].upper()
                assert "{" not in text
                assert ".." not in text
                assert "None" not in text
