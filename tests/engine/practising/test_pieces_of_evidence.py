"""Pieces of evidence: all of them are the whole case, none of them is a case with nothing known."""

from __future__ import annotations

import random

import pytest

from engine.inquiry.knowing import Knowledge
from engine.practising.pieces import answer_pieces, facts_of, measured_pieces, seen_case
from engine.practising.replay import Replay

CASES = (
    "raised-path",
    "gutter-mended-in-march",
    "meter-that-failed-its-check",
    "plume-under-a-sill",
    "loggers-in-a-let-terrace",
    "cob-cottage-behind-cement",
)


@pytest.mark.parametrize("name", CASES)
def test_all_the_pieces_lead_to_the_belief_of_the_whole_case(name, rulebook, reasoner, trainees):
    one = trainees.worked(name, rulebook)
    everything = answer_pieces(one.case, one.area) | measured_pieces(one.case, one.area)
    whole = Knowledge(reasoner, one.folder).state(one.case, one.area)
    state = Replay(reasoner, one).state(everything)
    assert state.beliefs == pytest.approx(whole.beliefs, abs=1e-12)
    assert {name: fact.value for name, fact in state.facts.items()} == {
        name: fact.value for name, fact in whole.facts.items()
    }


@pytest.mark.parametrize("name", CASES)
def test_without_a_piece_nothing_is_known(name, rulebook, trainees):
    one = trainees.worked(name, rulebook)
    bare = seen_case(one.case, one.area, frozenset())
    area = next(area for area in bare.areas if area.id == one.area.id)
    assert bare.key is None
    assert not list(facts_of(bare, area))
    assert not measured_pieces(bare, area)
    assert not area.not_inspected


def test_some_pieces_show_these_and_no_others(rulebook, trainees):
    one = trainees.worked("raised-path", rulebook)
    everything = sorted(answer_pieces(one.case, one.area) | measured_pieces(one.case, one.area))
    for seed in range(20):
        some = frozenset(random.Random(seed).sample(everything, 12))
        case = seen_case(one.case, one.area, some)
        area = next(area for area in case.areas if area.id == one.area.id)
        assert answer_pieces(case, area) | measured_pieces(case, area) == some
