"""How long an explanation takes: the shaking of judged numbers, of readings, and the search for what would change it.

Aim: 500 re-weighings within two seconds. Run with --benchmark-only.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from engine.case import read_case
from engine.explaining.changing import what_would_change
from engine.explaining.explaining import Asked, explain
from engine.explaining.steadiness import steadiness
from engine.explaining.subject import subject_of
from engine.explaining.why_not import why_not
from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook

CASEBOOK = Path(__file__).resolve().parents[2] / "casebook"
FILES = [CASEBOOK / "demo" / "raised-path.yaml", CASEBOOK / "regression" / "seller-says-rising-damp.yaml"]


@pytest.fixture(scope="module", params=FILES, ids=lambda path: path.stem)
def subject(request):
    rulebook = load_rulebook()
    case = read_case(request.param, vocabulary=rulebook)
    return subject_of(Reasoner(rulebook, "python"), case, case.areas[0], request.param.parent)


def test_shaking_the_judged_numbers(benchmark, subject):
    benchmark(steadiness, subject, shake_readings=False)


def test_shaking_the_readings_too(benchmark, subject):
    benchmark.pedantic(steadiness, args=(subject,), rounds=3)


def test_the_whole_plain_explanation(benchmark, subject):
    benchmark.pedantic(explain, args=(subject, Asked()), rounds=3)


def test_why_not(benchmark, subject):
    benchmark.pedantic(why_not, args=(subject, "rain-through-wall"), rounds=3)


def test_what_would_change_it(benchmark, subject):
    benchmark.pedantic(what_would_change, args=(subject,), rounds=3)
