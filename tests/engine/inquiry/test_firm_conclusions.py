"""What likely causes lack to be firm is worth asking about, though they are no longer in doubt."""

from __future__ import annotations

import pytest

from engine.inference.facts import Fact, Sureness
from engine.inquiry.applying import Standing


@pytest.fixture(scope="module")
def firmness(agenda):
    return agenda.appraiser.firmness


@pytest.fixture(scope="module")
def leak(knowledge, worked):
    """Two areas of one leak: the wall that it wets, and a room that dries out after it."""
    case = worked("joint-that-split-in-the-frost")
    return {area.id: knowledge.state(case, area) for area in case.areas}


def test_a_check_that_a_likely_cause_lacks_makes_its_question_worth_more_though_the_cause_is_in_no_doubt(
    agenda, knowledge, firmness, leak
):
    full, name = leak["bathroom-wall"], "overnight-meter-test"
    state = knowledge.weighed({other: fact for other, fact in full.facts.items() if other != name})
    assert state.beliefs["supply-or-heating-leak"] > 0.99
    worth = agenda.appraiser.appraise(state, name, {})
    assert worth.bits < agenda.rulebook.parameter("worth-asking-full")
    assert worth.firm_bits > 0.5
    assert agenda.appraiser.appraise(full, "tide-line-seen", {}).firm_bits == 0


def test_what_is_wanted_is_less_once_it_is_there(agenda, firmness, bare, full):
    assert sum(firmness.wanted(full).questions.values()) < sum(firmness.wanted(bare).questions.values())
    assert not firmness.wanted(bare).questions.keys() & bare.facts.keys()


def test_questions_behind_a_finding_are_found_through_rules_and_through_questions_that_open_others(agenda, firmness):
    assert "mould-in-rooms" in firmness.behind("mould-in-several-rooms")
    assert firmness.behind("storey") == {"storey"}


def test_a_question_that_opens_a_wanted_one_has_a_share_in_its_worth(agenda, knowledge, firmness):
    state = knowledge.weighed(
        {
            name: Fact(name, value)
            for name, value in {"at-outside-corner-or-behind-furniture": "yes", "glazing-misted": "yes"}.items()
        }
    )
    wanted = firmness.wanted(state)
    opened = {"mould-in-rooms"} & wanted.waiting
    assert opened
    promise = firmness.promise(wanted)
    assert promise["black-mould-seen"] >= wanted.questions["mould-in-rooms"] / 4


def test_a_conclusion_that_rests_on_one_telling_is_reckoned_without_it_when_the_next_question_is_chosen(
    knowledge, firmness, leak
):
    full = leak["cloakroom"]
    assert firmness.doubted(full) is full
    name = "deep-pins-result"
    told = Fact(name, full.facts[name].value, Sureness.NOT_SURE, False, "told")
    state = knowledge.weighed({**full.facts, name: told})
    assert firmness.determination(state).carried_by == ("what a plumbing repair did",)
    doubted = firmness.doubted(state)
    assert "effect-of-plumbing-repair" in state.evidence.facts
    assert "effect-of-plumbing-repair" not in doubted.evidence.facts
    assert doubted.facts == state.facts
    assert doubted.beliefs["drying-out-water"] < state.beliefs["drying-out-water"]


def test_nothing_more_is_wanted_than_each_likely_cause_may_need(agenda, firmness, bare):
    wanted = firmness.wanted(bare)
    worth = agenda.rulebook.parameter("check-worth")
    for name, bits in wanted.questions.items():
        needs = sum(
            probability * (1 + len(agenda.reasoner.gates[cause])) for cause, probability in wanted.causes.items()
        )
        assert 0 < bits <= worth * needs, name


def test_settings_are_expected_to_be_known_more_often_than_signs_and_what_may_not_apply_less_often(agenda, bare):
    appraiser = agenda.appraiser
    assert appraiser.answerable("storey", {}) > appraiser.answerable("tide-line-seen", {})
    undecided = next(iter(sorted(appraiser.firmness.undecided(bare))))
    worth = appraiser.appraise(bare, undecided, {})
    assert worth.answerable < appraiser.answerable(undecided, {})


def test_asking_does_not_stop_while_an_open_question_is_worth_asking(agenda, bare, rulebook):
    left = set(agenda.safety)
    enough = rulebook.parameter("worth-asking-full")
    while (found := agenda.next(bare, agenda.standings(bare, left), left)).question is not None:
        left.add(found.question)
    standings = agenda.standings(bare, left)
    tally = agenda.appraiser.tally(bare.facts.keys(), left)
    worths = [agenda.appraiser.appraise(bare, n, tally).expected for n, s in standings.items() if s is Standing.OPEN]
    assert worths
    assert max(worths) < enough
