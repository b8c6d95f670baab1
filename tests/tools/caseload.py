"""A caseload for trials: the worked cases over and over, each a little different, one JSON case on each line.

Run: python tests/tools/caseload.py 10000 > cases.jsonl
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from engine.documents import read_document


def worked_cases() -> list[dict[str, Any]]:
    """The data of every tuned worked case, without its key and the files beside it."""
    cases = []
    for path in sorted((ROOT / "casebook" / "regression").glob("*.yaml")):
        data = read_document(path).data
        data.pop("key", None)
        for area in data["areas"]:
            area.pop("loggers", None)
            area.pop("photographs", None)
        cases.append(data)
    return cases


def varied(case: dict[str, Any], number: int, dice: random.Random) -> dict[str, Any]:
    """A copy with another id and address, and without one to three of its facts."""
    copy = json.loads(json.dumps(case))
    copy["id"] = f"{case['id'][:50]}-{number}"
    copy["dwelling"]["address"] = f"{dice.randrange(1, 400)} Invented Road, {dice.randrange(1, 50)}"
    copy["commission"] = {"reported_on": f"2026-{dice.randrange(1, 12):02d}-{dice.randrange(1, 29):02d}"}
    for _ in range(dice.randrange(1, 4)):
        places = [place for place in (copy["dwelling"], *copy["areas"]) if place.get("facts")]
        if places:
            facts = dice.choice(places)["facts"]
            del facts[dice.randrange(len(facts))]
    return copy


def caseload(count: int, seed: int = 1) -> Iterator[dict[str, Any]]:
    """So many varied cases; the same seed gives the same ones."""
    dice, cases = random.Random(seed), worked_cases()
    for number in range(count):
        yield varied(cases[number % len(cases)], number, dice)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    for one in caseload(wanted.count, wanted.seed):
        sys.stdout.write(json.dumps(one, ensure_ascii=False) + "\n")
