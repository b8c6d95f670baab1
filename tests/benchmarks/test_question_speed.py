"""From an answer to the next prompt, through whole sessions. Run with --benchmark-only; see ``median_ms``, ``p95_ms``.

The ``cpu`` figures leave out waiting: for the disk, and for whatever else runs on the machine.
"""

from __future__ import annotations

import os
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter, process_time

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from cli.inputs import open_rulebook
from engine.case import read_case
from engine.opinion.reasoner import Reasoner

CASEBOOK = Path(__file__).resolve().parents[2] / "casebook"


@pytest.mark.parametrize("name", ["raised-path", "cellar-wall-against-the-garden", "leak-under-the-hall-floor"])
def test_a_whole_session(benchmark, interviews, tmp_path, name, capsys):
    benchmark.group = "questions"
    rulebook = open_rulebook(None)
    reasoner = Reasoner(rulebook, "python")
    case = read_case(next(CASEBOOK.glob(f"*/{name}.yaml")), vocabulary=rulebook)
    waits, worked = [], []

    class Timed(interviews.Player):
        answered = at_work = 0.0

        def next(self, prompt="> "):
            if self.answered:
                waits.append((perf_counter() - self.answered) * 1000)
                worked.append((process_time() - self.at_work) * 1000)
            line = super().next(prompt)
            self.answered, self.at_work = perf_counter(), process_time()
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
    for kind, times in (("", waits), ("cpu_", worked)):
        benchmark.extra_info[f"{kind}median_ms"] = round(median(times), 1)
        benchmark.extra_info[f"{kind}p95_ms"] = round(quantiles(times, n=20)[-1], 1)
