"""Why: every weight shown is what an independent re-weighing says, and the tree goes down to observations."""

from __future__ import annotations

import math

import pytest

from engine.explaining.why import Contribution, FactNode, RuleNode, why

ROUNDED = 0.25
"""Weights are shown whole; a quarter of a decibel is far below that."""


def log_odds(probability):
    return 10 * math.log10(probability / (1 - probability))


def told_causes(subject):
    return tuple(dict.fromkeys((*subject.foremost, *(c.id for c in subject.opinion.causes if c.probability >= 0.1))))


def test_each_weight_shown_is_what_weighing_anew_without_that_finding_takes_away(subjects, case_file, counted):
    for subject in subjects(case_file):
        counted["areas"] += 1
        accounts = {cause: why(subject, cause) for cause in told_causes(subject)}
        observations, belief = subject.judged.evidence.observations, subject.judged.belief
        for seen in observations:
            kept = [other for other in observations if other.finding != seen.finding]
            anew = subject.reasoner.network.weigh(belief.priors, kept).marginals
            for cause, account in accounts.items():
                shown = next((c.decibans for c in account.contributions if c.finding == seen.finding), 0.0)
                lost = log_odds(belief.posterior.marginals[cause]) - log_odds(anew[cause])
                assert shown == pytest.approx(lost, abs=ROUNDED), (cause, seen.finding)
                counted["contributions"] += 1


def leaves(node):
    if isinstance(node, FactNode):
        if not node.rules:
            yield node
        for rule in node.rules:
            yield from leaves(rule)
    elif isinstance(node, RuleNode):
        for fact in node.facts:
            yield from leaves(fact)
    elif isinstance(node, Contribution):
        for rule in node.rules:
            yield from leaves(rule)


def test_every_weight_rests_on_rules_with_sources_and_these_on_what_was_observed(subjects, case_file, rulebook):
    for subject in subjects(case_file):
        for cause in told_causes(subject):
            for item in why(subject, cause).contributions:
                assert item.rules
                assert all(rule.sources for rule in item.rules)
                for leaf in leaves(item):
                    assert leaf.attribute in subject.facts
                    assert leaf.value == subject.facts[leaf.attribute].value


def test_a_computed_fact_says_how_it_is_reckoned(demo, rulebook):
    nodes = [leaf for item in why(demo, "bridged-dpc").contributions for leaf in leaves(item)]
    measured = [node for node in nodes if node.attribute in rulebook.measures]
    assert measured
    assert all(node.reckoned == rulebook.measures[node.attribute].account for node in measured)


def test_leanings_are_those_of_the_opinion_each_with_its_rule(demo):
    account = why(demo, "bridged-dpc")
    opinion = demo.causes["bridged-dpc"]
    assert [(lean.rule.record, lean.decibans) for lean in account.leanings] == [
        (leaning.rule, leaning.decibans) for leaning in opinion.leanings
    ]
    assert all(lean.rule.because for lean in account.leanings)
