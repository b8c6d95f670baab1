"""Whether the tuned casebook covers the trade: every cause, several at once, what stays open, what only deceives."""

from __future__ import annotations

import pytest

FALSE_READINGS = {"embedded-metal", "technique-or-instrument-fault"}
WEIGHED_SAMPLES = 3
"""Samples with a mass as found from which a column can be told."""


@pytest.fixture(scope="module")
def keyed(casebook):
    """Every keyed area as (case, area, key)."""
    found = []
    for case in casebook.values():
        areas = {area.id: area for area in case.areas}
        found += [(case, areas[key.area], key) for key in case.key.areas]
    return found


def only_loggers(area):
    return area.loggers and not any(surface.readings for surface in area.surfaces)


def weighed_column(area):
    return sum(sample.wet_g is not None for sample in area.samples) >= WEIGHED_SAMPLES


@pytest.mark.parametrize(
    ("least", "what", "holds"),
    [
        (8, "two causes at once", lambda case, area, key: len(key.truth) >= 2),
        (8, "left open", lambda case, area, key: not key.determined),
        (6, "false readings", lambda case, area, key: set(key.truth) & FALSE_READINGS),
        (6, "timber at stake", lambda case, area, key: key.timber in ("at-risk", "decay-seen")),
        (4, "loggers only", lambda case, area, key: only_loggers(area)),
        (4, "weighed samples", lambda case, area, key: weighed_column(area)),
        (4, "repeat visits", lambda case, area, key: len(case.visits) > 1),
        (2, "no damp at all", lambda case, area, key: not key.truth),
    ],
)
def test_there_are_enough_cases_of_each_kind(keyed, least, what, holds):
    found = {case.id for case, area, key in keyed if holds(case, area, key)}
    assert len(found) >= least, (what, sorted(found))


def test_there_are_forty_cases_and_each_says_what_a_junior_would_wrongly_say(casebook, keyed):
    assert len(casebook) >= 40
    assert all(key.junior_says and key.junior not in key.truth for _, _, key in keyed)


def test_every_cause_is_the_truth_of_some_case_and_many_are_somebody_s_mistake(rulebook, keyed):
    assert {cause for _, _, key in keyed for cause in key.truth} == set(rulebook.causes)
    assert len({key.junior for _, _, key in keyed if key.junior}) >= len(rulebook.causes) / 2


def test_each_case_is_called_like_its_file(casebook):
    assert all(case.id == name for name, case in casebook.items())
