"""What a question is worth, held against whole weighings and against the network's own information."""

from __future__ import annotations

from itertools import pairwise

import pytest

from engine.inference.facts import Fact

AGREES = 0.01
"""Suppositions leave aside about a thousandth of the mass, in several steps."""


@pytest.fixture(params=["bare", "full"])
def state(request):
    return request.getfixturevalue(request.param)


def test_a_supposed_answer_leads_where_a_whole_weighing_leads(agenda, knowledge, state, rulebook):
    named = ["storey", "tide-line-seen", "black-mould-seen", "change-after-rain", "services-near", "salt-bloom-seen"]
    open_now = [name for name in named if name not in state.facts]
    assert open_now
    for name in open_now:
        worth = agenda.appraiser.appraise(state, name, {})
        for supposed in worth.supposed:
            fact = agenda.appraiser.answers.fact(name, supposed.value)
            whole = knowledge.weighed({**state.facts, name: fact}).belief.posterior.marginals
            ruled_out = {cause for cause, belief in state.belief.posterior.marginals.items() if belief == 0}
            for cause, belief in supposed.beliefs.items():
                if cause not in ruled_out:
                    assert belief == pytest.approx(whole[cause], abs=AGREES)


def test_an_answer_tried_on_standing_evidence_gives_what_chaining_everything_gives(agenda, reasoner, state, rulebook):
    for name in rulebook.questions:
        for value in agenda.appraiser.answers.allowed[name]:
            fact = agenda.appraiser.answers.fact(name, value)
            whole = reasoner.find({**state.facts, name: fact})
            tried = agenda.appraiser.trials.with_fact(state.evidence, fact)
            assert tried.observations == whole.observations
            assert tried.facts == whole.facts
            assert tried.contested == whole.contested
            assert tried.masks == whole.masks
            assert reasoner.priors(tried) == pytest.approx(reasoner.priors(whole))


def test_predictions_agree_with_those_of_the_belief(state):
    posterior = state.belief.posterior
    findings = [finding for finding in posterior.network.findings if finding not in posterior.observed][:40]
    for finding, (states, bits) in state.suppositions.predictions(findings, state.evidence.masks).items():
        assert states == pytest.approx(posterior.predictive(finding, state.evidence.masks), abs=AGREES)
        assert bits == pytest.approx(posterior.information([finding], state.evidence.masks)[finding], abs=AGREES)


def test_chances_of_answers_sum_to_one_and_worth_is_never_negative(agenda, bare, rulebook):
    for name in sorted(rulebook.questions)[::9]:
        worth = agenda.appraiser.appraise(bare, name, {})
        assert sum(supposed.chance for supposed in worth.supposed) == pytest.approx(1)
        assert worth.bits >= 0
        assert worth.expected >= 0


def test_a_yes_or_no_question_of_one_finding_is_as_probable_as_the_belief_predicts(agenda, bare, rulebook):
    posterior = bare.belief.posterior
    predicted = posterior.predictive("black-mould", bare.evidence.masks)
    worth = agenda.appraiser.appraise(bare, "black-mould-seen", {})
    chances = {supposed.value: supposed.chance for supposed in worth.supposed}
    assert chances["yes"] == pytest.approx(predicted["present"], abs=AGREES)


def test_learning_nothing_tells_nothing(bare):
    suppositions = bare.suppositions
    assert suppositions.shared_information([suppositions.weights] * 3, [0.2, 0.3, 0.5]) == pytest.approx(0, abs=1e-9)


def test_answers_of_an_occupant_count_as_told(agenda, rulebook):
    occupant = next(question.id for question in rulebook.questions.values() if question.who == "occupant")
    inspector = next(question.id for question in rulebook.questions.values() if question.who == "inspector")
    fact: Fact = agenda.appraiser.answers.fact(occupant, "yes")
    assert not fact.direct
    assert fact.sureness < agenda.appraiser.answers.fact(inspector, "yes").sureness


def test_the_chance_of_an_answer_falls_with_every_like_question_that_nobody_could_answer(agenda, rulebook):
    asked = sorted(q.id for q in rulebook.questions.values() if q.effort == "ask" and not q.safety)
    appraiser = agenda.appraiser
    chances = [appraiser.answerable(asked[-1], appraiser.tally(set(), set(asked[:count]))) for count in range(5)]
    assert chances == sorted(chances, reverse=True)
    assert chances[-1] < chances[0]


def test_of_a_number_every_stretch_between_bounds_has_one_answer(agenda):
    answers = agenda.appraiser.answers
    bounds, tried = answers.bounds["outside-ground-clearance-mm"], answers.allowed["outside-ground-clearance-mm"]
    assert bounds
    for low, high in pairwise(bounds):
        assert sum(low <= value < high for value in tried) == 1
