"""How long an opinion takes: warm in one process, and cold from the shell. Run with --benchmark-only."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from cli.inputs import open_rulebook
from engine.case import read_case
from engine.inference.chaining import available_backend
from engine.opinion import weigh_with
from engine.opinion.reasoner import Reasoner

ROOT = Path(__file__).resolve().parents[2]
PATHS = sorted((ROOT / "casebook").glob("*/*.yaml"))
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"


@pytest.fixture(scope="module")
def rulebook():
    return open_rulebook(None)


@pytest.mark.parametrize("backend", ["durable", "python"])
@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_an_opinion_in_a_warm_process(benchmark, rulebook, path, backend):
    if backend == "durable" and available_backend() != "durable":
        pytest.skip("durable_rules is not installed here")
    benchmark.group = "warm opinion"
    reasoner = Reasoner(rulebook, backend)
    case = read_case(path, vocabulary=rulebook)
    weigh_with(reasoner, case, folder=path.parent)
    benchmark(weigh_with, reasoner, case, folder=path.parent)


def run(*arguments):
    subprocess.run([sys.executable, *arguments], cwd=ROOT, check=True, capture_output=True)


@pytest.mark.parametrize(
    "arguments",
    [("-c", "pass"), ("-m", "cli", "--help"), ("-m", "cli", "weigh", str(DEMO), "--json")],
    ids=["bare interpreter", "help", "weigh"],
)
def test_a_whole_process(benchmark, arguments):
    benchmark.group = "cold process"
    benchmark.pedantic(run, args=arguments, rounds=9, warmup_rounds=1)
