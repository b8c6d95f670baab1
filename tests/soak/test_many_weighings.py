"""Many weighings in one process, ten processes at once, and large sweeps: by hand, with DAMPWRIGHT_SOAK=1.

DAMPWRIGHT_SOAK_COUNT says how many (100,000 without it), DAMPWRIGHT_SOAK_PLOT names a .png to draw to.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(not os.environ.get("DAMPWRIGHT_SOAK"), reason="a long run: set DAMPWRIGHT_SOAK=1")

ROOT = Path(__file__).resolve().parents[2]
TOOLS = ROOT / "tests" / "tools"
COUNT = int(os.environ.get("DAMPWRIGHT_SOAK_COUNT", "100000"))
GROWTH = 1.10
"""Memory of the last fifth, at most, as a share of the second fifth's, when every cache has filled."""


def start(tool, *arguments, **more):
    command = [sys.executable, str(TOOLS / tool), *map(str, arguments)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, **more)


def result_of(process):
    out, _ = process.communicate()
    assert process.returncode == 0
    return json.loads(out.splitlines()[-1])


def test_memory_stays_flat_over_many_weighings():
    plot = os.environ.get("DAMPWRIGHT_SOAK_PLOT")
    found = result_of(start("many_weighings.py", COUNT, *(["--plot", plot] if plot else [])))
    for done, memory, spent in found["samples"]:
        sys.stdout.write(f"\n{done:>8,} weighings: {memory:7.1f} MB, {spent:6.2f} ms each")
    fifth = len(found["samples"]) // 5
    early = max(memory for _, memory, _ in found["samples"][fifth : 2 * fifth])
    late = max(memory for _, memory, _ in found["samples"][-fifth:])
    assert late <= GROWTH * early, (early, late)


def test_ten_processes_at_once_give_what_one_gives():
    alone = result_of(start("many_weighings.py", COUNT // 200, "--seed", 7))
    together = [start("many_weighings.py", COUNT // 200, "--seed", 7) for _ in range(10)]
    assert [result_of(process)["digest"] for process in together] == [alone["digest"]] * 10


def test_the_memory_of_a_sweep_is_the_same_for_ten_times_as_many_cases(tmp_path):
    pytest.importorskip("psutil")
    peaks = {}
    for count in (COUNT // 10, COUNT):
        stream, output = tmp_path / f"{count}.jsonl", tmp_path / f"{count}.csv"
        with stream.open("w", encoding="utf-8") as file:
            subprocess.run([sys.executable, TOOLS / "caseload.py", str(count)], cwd=ROOT, stdout=file, check=True)
        command = [sys.executable, "-m", "cli", "sweep", stream, "-o", output]
        found = result_of(start("peak_memory.py", *command))
        assert found["exit"] in (0, 5)
        peaks[count] = found["peak_together_mb"]
        sys.stdout.write(f"\n{count:,} cases: {json.dumps(found)}")
    assert peaks[COUNT] <= GROWTH * peaks[COUNT // 10]
