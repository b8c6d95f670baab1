"""How time and memory grow with the rule base (×1, ×2, ×4) and with the readings of one wall (10 to 10,000).

Run: python tests/tools/growth.py rules, or: python tests/tools/growth.py readings

A larger rule base is made of renamed copies of all findings and echo groups and of the rules that conclude findings;
every copy is asked about by the same questions, so that the evidence grows with it. (Copies of other rules would be
refused as said twice.) Every size runs in a process of its own; times are processor time.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from time import process_time
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).resolve().parent)]

CASES = 20
COPIED = ("findings", "rules", "echoes")
NAMING = ("id", "finding", "members")
"""Fields whose text names a finding, a rule or an echo group."""


def copies(folder: Path, count: int) -> None:
    """Write further copies of the findings, rules and echo groups, all their ids renamed, as a rule folder."""
    import yaml

    kinds = {
        kind: [record for path in sorted((ROOT / "rulesets" / kind).glob("*.yaml")) for record in read(yaml, path)]
        for kind in COPIED
    }
    kinds["rules"] = [rule for rule in kinds["rules"] if all("finding" in one for one in rule["conclude"])]
    own = {record["id"] for records in kinds.values() for record in records}
    for number in range(2, count + 1):
        for kind, records in kinds.items():
            path = folder / kind / f"copy-{number}.yaml"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(json.dumps([renamed(record, own, f"copy-{number}-") for record in records]), "utf-8")


def read(yaml: Any, path: Path) -> list[Any]:
    """The records of a file as plain data; every scalar that is no number stays text."""
    from engine.documents import read_document

    return list(read_document(path).data)


def renamed(data: Any, own: set[str], prefix: str, named: bool = False) -> Any:
    """The data with a prefix before every id of its own: as an attribute that is tested, or where a record is named."""
    if isinstance(data, dict):
        return {
            prefix + key if key in own else key: renamed(value, own, prefix, key in NAMING)
            for key, value in data.items()
        }
    if isinstance(data, list):
        return [renamed(item, own, prefix, named) for item in data]
    return prefix + data if named and data in own else data


def timed(work: Any, rounds: int = 3) -> float:
    """Least processor time of some rounds [ms]."""
    taken = []
    for _ in range(rounds):
        start = process_time()
        work()
        taken.append(1000 * (process_time() - start))
    return min(taken)


def with_rules(count: int) -> dict[str, float]:
    """Median times over some worked cases with so many copies of the rule base, and the process's memory."""
    from many_weighings import resident

    from engine.case import read_case
    from engine.opinion.reasoner import Reasoner
    from engine.opinion.weighing import gather, weigh_with
    from engine.rulebook import load_rulebook

    with tempfile.TemporaryDirectory() as folder:
        copies(Path(folder), count)
        rulebook = load_rulebook([Path(folder)] if count > 1 else [], cache=False)
    reasoner = Reasoner(rulebook)
    paths = sorted((ROOT / "casebook" / "regression").glob("*.yaml"))[::4][:CASES]
    cases = [(read_case(path, vocabulary=rulebook), path.parent) for path in paths]
    weighed, chained = [], []
    for case, folder_of in cases:
        weigh_with(reasoner, case, folder=folder_of)
        weighed.append(timed(lambda c=case, f=folder_of: weigh_with(reasoner, c, folder=f)))
        facts = gather(reasoner, case, case.areas[0], folder_of).facts
        chained.append(timed(lambda known=facts: reasoner.findings.run(known)))
    return {
        "rules": len(rulebook.rules),
        "findings": len(rulebook.findings),
        "chaining [ms]": statistics.median(chained),
        "weigh [ms]": statistics.median(weighed),
        "memory [MB]": resident(),
    }


def with_readings(count: int) -> dict[str, float]:
    """Times of one wall with so many readings, half in each mode, and the process's memory."""
    from many_weighings import resident

    from engine.case import parse_case
    from engine.documents import Document
    from engine.measures import measure
    from engine.opinion.reasoner import Reasoner
    from engine.opinion.weighing import weigh_with
    from engine.rulebook import load_rulebook

    rulebook = load_rulebook()
    columns = max(round((count / 2) ** 0.5 / 2), 1)
    rows = count // (2 * columns)
    wide, high = 6000, 2400
    readings = [
        {
            "x_mm": (column + 0.5) * wide / columns,
            "y_mm": 10 + row * (high - 20) / max(rows - 1, 1),
            "instrument": mode,
            "value": round(18 + 40 * max(1 - row / max(0.4 * rows, 1), 0) + (7 * row + 3 * column) % 5, 1),
        }
        for mode in ("pins", "plate")
        for column in range(columns)
        for row in range(rows)
    ]
    instruments = [
        {"id": "pins", "mode": "pins", "scale": "relative", "full_scale": 100},
        {"id": "plate", "mode": "capacitance", "scale": "relative", "full_scale": 100},
    ]
    references = [{"instrument": name, "material": "plaster", "value": 15} for name in ("pins", "plate")]
    surface = {"id": "wall", "kind": "wall", "material": "plaster", "width_mm": wide, "height_mm": high}
    surface |= {"dry_references": references, "readings": readings}
    data = {
        "format": 1,
        "id": "many-readings",
        "title": "A wall with many readings",
        "invented": True,
        "dwelling": {"title": "invented"},
        "visits": [{"id": "first", "on": "2026-03-02", "instruments": instruments}],
        "areas": [{"id": "wall", "title": "wall", "surfaces": [surface]}],
    }
    case = parse_case(Document("growth", data, {}), rulebook)
    reasoner = Reasoner(rulebook)
    weigh_with(reasoner, case)
    return {
        "readings": len(readings),
        "measures [ms]": timed(lambda: measure(case, case.areas[0], rulebook.numbers)),
        "weigh [ms]": timed(lambda: weigh_with(reasoner, case)),
        "memory [MB]": resident(),
    }


def main() -> None:
    """Measure one size where it is given, else every size in a process of its own, as a table."""
    what, *size = sys.argv[1:]
    if size:
        print(json.dumps({"rules": with_rules, "readings": with_readings}[what](int(size[0]))))
        return
    sizes = {"rules": (1, 2, 4), "readings": (10, 100, 1_000, 10_000)}[what]
    for number, one in enumerate(sizes):
        command = [sys.executable, __file__, what, str(one)]
        row = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        if not number:
            print("| " + " | ".join(row) + " |", "|" + " --- |" * len(row), sep="\n")
        print("| " + " | ".join(f"{value:,.0f}" if value >= 100 else f"{value:.1f}" for value in row.values()) + " |")


if __name__ == "__main__":
    main()
