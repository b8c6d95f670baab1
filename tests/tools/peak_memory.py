"""Run a command and say how much memory it and all its processes took at most, and how long.

Run: python tests/tools/peak_memory.py python -m cli sweep cases.jsonl -o out.csv
Needs psutil. Memory that processes share is counted once (PSS on Linux), and each for itself beside it.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from typing import Any

import psutil


def measured(command: list[str]) -> dict[str, Any]:
    """Exit code, seconds, and peaks [MB]: of all processes together, shared pages once, and of the largest one."""
    start = time.perf_counter()
    process = subprocess.Popen(command)
    together = largest = 0.0
    while process.poll() is None:
        shares, most = 0.0, 0.0
        try:
            family = [psutil.Process(process.pid), *psutil.Process(process.pid).children(recursive=True)]
        except psutil.NoSuchProcess:
            break
        for one in family:
            try:
                full = one.memory_full_info()
            except psutil.Error:
                continue
            shares += getattr(full, "pss", full.uss) / 1e6
            most = max(most, full.rss / 1e6)
        together, largest = max(together, shares), max(largest, most)
        time.sleep(0.25)
    seconds = time.perf_counter() - start
    return {
        "exit": process.wait(),
        "seconds": round(seconds, 1),
        "peak_together_mb": round(together, 1),
        "peak_of_one_mb": round(largest, 1),
    }


if __name__ == "__main__":
    sys.stdout.write(json.dumps(measured(sys.argv[1:])) + "\n")
