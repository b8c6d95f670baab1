"""What a case costs in a sweep, beside the weighing alone and the reading alone. Run with --benchmark-only.

A whole sweep is timed from the shell: python tests/tools/caseload.py 10000 > cases.jsonl, then
python tests/tools/peak_memory.py python -m cli sweep cases.jsonl -o out.csv
"""

from __future__ import annotations

import importlib.util
import itertools
import json
import os
from pathlib import Path

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from engine.case import parse_case
from engine.documents import read_document
from engine.errors import InvalidInput
from engine.opinion.weighing import weigh_with
from engine.sweeping import sweep_line
from engine.sweeping.working import reasoner_for

TOOL = Path(__file__).resolve().parents[1] / "tools" / "caseload.py"


def read(line):
    return parse_case(read_document(Path("case.json"), text=line), reasoner_for((), "auto").rulebook)


@pytest.fixture(scope="module")
def lines():
    """Every worked case a little varied, all of them sound."""
    spec = importlib.util.spec_from_file_location("caseload", TOOL)
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    sound = []
    for case in itertools.islice(tool.caseload(100), 100):
        line = json.dumps(case)
        try:
            read(line)
        except InvalidInput:
            continue
        sound.append(line)
    return sound


@pytest.mark.parametrize("part", ["reading", "weighing", "a line of a sweep"])
def test_the_parts_of_a_sweep_over_a_hundred_varied_cases(benchmark, lines, part):
    benchmark.group = "sweep"
    reasoner = reasoner_for((), "auto")
    cases = [read(line) for line in lines]
    for line in lines:
        sweep_line(line)
    work = {
        "reading": lambda: [read(line) for line in lines],
        "weighing": lambda: [weigh_with(reasoner, case) for case in cases],
        "a line of a sweep": lambda: [sweep_line(line) for line in lines],
    }[part]
    benchmark.pedantic(work, rounds=3)
