"""Many weighings in one process, with its memory and the processor time of each, to see that both stay flat.

Run: python tests/tools/many_weighings.py 100000 --plot flat.png
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import statistics
import sys
from pathlib import Path
from time import process_time
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).resolve().parent)]

from caseload import varied, worked_cases

from engine.case import parse_case
from engine.documents import Document
from engine.errors import InvalidInput
from engine.opinion.weighing import weigh_with
from engine.sweeping.working import reasoner_for

SAMPLES = 50


def resident() -> float:
    """Resident memory of this process [MB]; psutil where it is installed, else from /proc."""
    try:
        import psutil
    except ImportError:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6
    return float(psutil.Process().memory_info().rss) / 1e6


def weigh_many(count: int, seed: int, chainer: str) -> dict[str, Any]:
    """Weigh so many varied cases: samples of memory [MB] and median processor time [ms]; a digest of the opinions."""
    reasoner, dice, cases = reasoner_for((), chainer), random.Random(seed), worked_cases()
    digest, samples, spent = hashlib.sha256(), [], []
    every = max(1, count // SAMPLES)
    done = tried = 0
    while done < count:
        data = varied(cases[tried % len(cases)], tried, dice)
        tried += 1
        try:
            case = parse_case(Document("case", data, {(): 1}), reasoner.rulebook)
        except InvalidInput:  # a fact that another part of the case needs may be the one left out
            continue
        start = process_time()
        opinion = weigh_with(reasoner, case)
        spent.append((process_time() - start) * 1000)
        done += 1
        digest.update(repr([(area.leading, area.determined) for area in opinion.areas]).encode())
        if done % every == 0:
            samples.append((done, round(resident(), 1), round(statistics.median(spent), 2)))
            spent.clear()
    return {"count": done, "samples": samples, "digest": digest.hexdigest()}


def plot(samples: list[tuple[int, float, float]], path: str) -> None:
    """Draw memory and time over the number of weighings."""
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot

    done, memory, spent = zip(*samples, strict=True)
    figure, axes = pyplot.subplots(2, 1, sharex=True, figsize=(8, 5))
    for axis, values, label in zip(
        axes, (memory, spent), ("resident memory [MB]", "median processor time of a weighing [ms]"), strict=True
    ):
        axis.plot(done, values, color="black")
        axis.set_ylabel(label)
        axis.set_ylim(bottom=0)
    axes[-1].set_xlabel("weighings in one process")
    figure.tight_layout()
    figure.savefig(path, dpi=120)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--chainer", choices=("auto", "durable", "python"), default="auto")
    parser.add_argument("--plot", metavar="FILE.png")
    wanted = parser.parse_args()
    found = weigh_many(wanted.count, wanted.seed, wanted.chainer)
    sys.stdout.write(json.dumps(found) + "\n")
    if wanted.plot:
        plot(found["samples"], wanted.plot)
