"""The tuned casebook sets off most of the rule base, so that few rules rest on their own examples alone."""

from __future__ import annotations

from engine.opinion.casebook import fired_rules

LEAST_SHARE = 0.8


def test_the_casebook_fires_at_least_four_rules_in_five(reasoner, rulebook, casebook_with_folders):
    fired = fired_rules(reasoner, casebook_with_folders)
    idle = sorted(set(rulebook.rules) - fired)
    assert len(fired) >= LEAST_SHARE * len(rulebook.rules), idle
