"""From an answer to the next prompt, through whole sessions. Run with --benchmark-only; see ``p95_ms``."""

from __future__ import annotations

import os
from pathlib import Path
from statistics import quantiles
from time import perf_counter

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from engine.case import read_case
from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook

CASEBOOK = Path(__file__).resolve().parents[2] / "casebook"


@pytest.mark.parametrize("name", ["raised-path", "cellar-wall-against-the-garden", "leak-under-the-hall-floor"])
def test_a_whole_session(benchmark, interviews, tmp_path, name, capsys):
    benchmark.group = "questions"
    rulebook = load_rulebook()
    reasoner = Reasoner(rulebook, "python")
    case = read_case(next(CASEBOOK.glob(f"*/{name}.yaml")), vocabulary=rulebook)
    waits = []

    class Timed(interviews.Player):
        answered = 0.0

        def next(self, prompt="> "):
            if self.answered:
                waits.append((perf_counter() - self.answered) * 1000)
            line = super().next(prompt)
            self.answered = perf_counter()
            return line

    def session():
        path = interviews.begun(tmp_path / "visit.yaml", case, rulebook)
        store, interview = interviews.opened(path, reasoner, Timed(interviews.answers_of(case)))
        with store:
            interview.run()
        (tmp_path / "visit.yaml.journal").unlink()

    benchmark.pedantic(session, rounds=2)
    capsys.readouterr()
    benchmark.extra_info["prompts"] = len(waits)
    benchmark.extra_info["median_ms"] = round(sorted(waits)[len(waits) // 2], 1)
    benchmark.extra_info["p95_ms"] = round(quantiles(waits, n=20)[-1], 1)
