"""Steadiness: seeded, as the opinion is when unshaken, and as the network itself weighs when shaken."""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine.explaining.jitter import Jitter
from engine.explaining.reading_noise import ReadingNoise
from engine.explaining.steadiness import steadiness
from engine.inference.belief import Network
from engine.inference.noisy import FindingModel
from engine.opinion.reasoner import Reasoner
from engine.rulebook.compiling import echo_models, finding_model


def moved(probability, decibans):
    value = 10 * math.log10(probability / (1 - probability)) + decibans
    return 1 / (1 + 10 ** (-value / 10))


def test_unshaken_it_agrees_with_the_opinion(subjects, case_file, rulebook):
    for subject in subjects(case_file):
        jitter = Jitter(subject.reasoner, subject.judged.belief, rulebook.parameter("steadiness-mass"))
        still = jitter.reweigh(np.zeros((1, len(jitter.assumptions))))
        marginals = subject.judged.belief.posterior.marginals
        assert jitter.held >= 0.9989
        assert still.marginals[0] == pytest.approx([marginals[cause] for cause in jitter.causes], abs=0.0015)


def test_shaken_it_agrees_with_a_network_made_of_the_shaken_numbers(subjects, some_case_file, rulebook):
    for subject in subjects(some_case_file):
        belief = subject.judged.belief
        jitter = Jitter(subject.reasoner, belief, 0.99999)
        spreads = np.array([assumption.spread for assumption in jitter.assumptions])
        deviates = np.random.default_rng(3).normal(size=(2, len(spreads))) * spreads
        plain = {f for f, record in rulebook.findings.items() if record.grades is None}
        for place, assumption in enumerate(jitter.assumptions):
            if assumption.kind in ("strength", "background") and assumption.record not in plain:
                deviates[:, place] = 0  # graded findings may come out of order, which a network refuses
        shaken = jitter.reweigh(deviates)
        for row, deviate in enumerate(deviates):
            by = {(a.kind, a.record, a.cause): float(d) for a, d in zip(jitter.assumptions, deviate, strict=True)}
            network = Network(
                tuple(rulebook.causes),
                [shaken_model(finding_model(rulebook, f), by) for f in rulebook.findings.values()],
                echo_models(rulebook),
            )
            marginals = network.weigh(shaken_priors(subject, by), subject.judged.evidence.observations).marginals
            expected = [marginals[cause] for cause in jitter.causes]
            assert shaken.marginals[row] == pytest.approx(expected, abs=0.01)


def shaken_model(model, by):
    levels = tuple(
        (
            moved(background, by.get(("background", model.id, ""), 0.0)),
            {cause: moved(p, by.get(("strength", model.id, cause), 0.0)) for cause, p in makes.items()},
        )
        for background, makes in model.cumulative
    )
    return FindingModel(model.id, model.states, levels, model.cause_masks)


def shaken_priors(subject, by):
    belief, book = subject.judged.belief, subject.reasoner.rulebook
    cap = book.parameter("leaning-cap-decibans")
    priors = dict(belief.priors)
    for cause in priors:
        if priors[cause] == 0 or ("base-rate", cause, cause) not in by:
            continue
        lean = sum(s.decibans + by["leaning", s.rule, cause] for s in belief.leanings if s.cause == cause)
        total = max(-cap, min(cap, lean)) + by["base-rate", cause, cause]
        if any(exclusion.cause == cause for exclusion in belief.exclusions):
            total -= book.parameter("exclusion-decibans")
        priors[cause] = moved(belief.base_rates[cause], total)
    return priors


def test_the_same_seed_gives_the_same_numbers_and_the_seed_is_told(undetermined):
    once, again = (steadiness(undetermined, seed=7, shake_readings=False) for _ in range(2))
    assert once == again
    assert once.seed == 7
    assert once.draws >= 500
    assert once.ranges != steadiness(undetermined, seed=8, shake_readings=False).ranges


def test_a_lead_by_a_little_is_less_steady_than_a_firm_one(demo, undetermined):
    firm, frail = (steadiness(subject, shake_readings=False) for subject in (demo, undetermined))
    assert firm.lead_stays > 0.95 > frail.lead_stays
    assert not any(swing.overturns for swing in firm.swings)
    assert any(swing.overturns for swing in frail.swings)


def test_swings_are_listed_by_how_far_they_move_belief_each_between_its_ends(undetermined):
    swings = steadiness(undetermined, shake_readings=False).swings
    assert swings
    assert [swing.decibans for swing in swings] == sorted((s.decibans for s in swings), reverse=True)
    for swing in swings:
        assert swing.low < undetermined.causes[swing.cause].probability < swing.high


def test_readings_are_shaken_at_least_fifty_times(undetermined):
    found = steadiness(undetermined).readings
    assert found is not None
    assert found.draws >= 50
    assert found.readings == sum(len(s.readings) for s in undetermined.area.surfaces) + len(
        undetermined.area.air
    ) + len(undetermined.area.surface_temperatures) + len(undetermined.area.timber)


def test_shaking_readings_moves_every_press_about_its_own_place_and_leaves_the_case_alone(demo, rulebook):
    before = demo.case.model_dump()
    noise = ReadingNoise(demo.case, demo.area, rulebook.numbers, frozenset())
    dice = np.random.default_rng(0)
    shaken = [noise.moved(dice)[1].surfaces[0].readings[0].value for _ in range(200)]
    first = demo.area.surfaces[0].readings[0].value
    assert len(set(shaken)) == 200
    assert np.mean(shaken) == pytest.approx(first, rel=0.02)
    assert demo.case.model_dump() == before


def test_without_any_reading_none_are_shaken(rulebook, area_case):
    from engine.explaining.subject import subject_of

    case, area = area_case()
    assert steadiness(subject_of(Reasoner(rulebook, "python"), case, area)).readings is None
