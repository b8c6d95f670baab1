"""Made-up cases hang together, and the opinion on them is as sure as it is right; the long form is in tests/soak.

They must pass the checks that the worked cases pass (tests/engine/opinion/test_coherence.py): air by psychrolib, masses
of samples, what water, salts and films do to the two meter modes. The limits of the scores are wide: they catch a part
that no longer makes what its finding says, not a change of the last decimal.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import psychrolib
import pytest

from engine import load_rulebook
from engine.case.keys import AreaKey, Key
from engine.inference.facts import Sureness
from engine.synthesis.cases import maker_of

FIRST_SEED, CASES = 4_000, 200
FAULT = "technique-or-instrument-fault"


def coherence():
    path = Path(__file__).parents[1] / "opinion" / "test_coherence.py"
    spec = importlib.util.spec_from_file_location("coherence_of_worked_cases", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


CHECKS = {name: check for name, check in vars(coherence()).items() if name.startswith("test_")}


@pytest.fixture(scope="module")
def maker():
    return maker_of(load_rulebook())


@pytest.fixture(scope="module")
def made(maker, case_scoring):
    return list(case_scoring.made_cases(maker, FIRST_SEED, CASES))


@pytest.fixture(scope="module")
def scores(maker, made, case_scoring):
    return case_scoring.score_cases(maker, made)


def keyed(one):
    key = AreaKey(area=one.area.id, truth=tuple(sorted(one.causes)), grade="synthetic")
    return one.case.model_copy(update={"key": Key(areas=(key,))})


@pytest.mark.parametrize("name", CHECKS)
def test_made_up_cases_pass_what_worked_cases_must(made, name):
    psychrolib.SetUnitSystem(psychrolib.SI)
    applied = 0
    for one in made:
        if "scatter" in name and FAULT in one.causes:
            continue  # a faulty instrument scatters as it likes, whatever else is at work
        CHECKS[name](keyed(one))
        applied += 1
    assert applied > 0.9 * CASES


def test_forecasts_come_true_as_often_as_they_say(scores, case_scoring):
    assert scores.parts(case_scoring.OPINION).reliability < 0.004
    assert scores.parts(case_scoring.CEILING).reliability < 0.004


def test_the_opinion_tells_causes_apart_and_no_better_than_the_network_could(scores, case_scoring):
    own, ceiling = scores.parts(case_scoring.OPINION), scores.parts(case_scoring.CEILING)
    assert ceiling.brier < own.brier < 0.3 * own.uncertainty
    assert scores.led[case_scoring.OPINION] >= 0.9 * CASES


def test_little_is_lost_between_what_is_found_and_the_opinion(scores, case_scoring):
    """What tales that are wrong and measures that are not sure cost, against findings that are known for certain."""
    own, found = (scores.parts(name) for name in (case_scoring.OPINION, case_scoring.FOUND))
    assert own.brier - found.brier < 0.08 * own.uncertainty


def test_the_report_says_what_it_shows_and_what_not(scores):
    text = scores.text()
    assert text.startswith(f"{CASES} made-up cases")
    assert "nothing here is accuracy in the field" in text.splitlines()[0]
    assert text.count("| opinion |") == 1


def test_what_is_seen_and_measured_comes_out_by_the_rules_as_it_was_drawn(maker, made):
    """A finding that is certain was not told; hardly one in five hundred comes out otherwise, or is contested."""
    certain = otherwise = contested = 0
    for one in made[:60]:
        evidence = maker.reasoner.suppose(maker.known(one).facts)
        sure = [seen for seen in evidence.observations if seen.sureness is Sureness.CERTAIN]
        certain += len(sure)
        otherwise += sum(seen.state != one.wanted[seen.finding] for seen in sure)
        contested += len(evidence.contested)
    assert certain > 60 * 50
    assert otherwise < 0.002 * certain
    assert contested < 0.01 * certain


def test_what_the_physical_part_settles_stays_settled_whatever_is_answered(made):
    """Between drawn and wanted only what readings, air, samples and timber decide may differ: a few findings a case."""
    differing = [sum(one.wanted[name] != state for name, state in one.drawn.items()) for one in made]
    assert sum(differing) / CASES < 6
    assert max(differing) < 25
