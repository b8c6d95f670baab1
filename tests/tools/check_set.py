"""How the opinion fares on the frozen check set: the tables in DEVELOPERS.md. Run it by hand.

``python tests/tools/check_set.py`` prints a Markdown table, one line an area, and the totals. The cases were taken
from published histories by someone who had not read the rules. Nothing is tuned to them: a result here is reported,
never held by a test.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from engine.case import read_case
from engine.opinion import weigh_with
from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook

LIKELY = 0.66


def judged(key, area):
    """Whether the truth leads, whether a wrong cause is firm, and whether *determined* agrees with the key."""
    truth = set(key.truth)
    beliefs = {cause.id: cause.probability for cause in area.causes}
    best = max(beliefs, key=lambda cause: beliefs[cause])
    leads = best in truth if truth else max(beliefs.values()) < LIKELY
    firm = set(area.leading) if area.determined and area.level == "cause" else set()
    return leads, bool(firm - truth), area.determined == key.determined


def main():
    """Print the table and the totals."""
    rulebook = load_rulebook()
    reasoner = Reasoner(rulebook)
    print(f"Rule base {rulebook.digest[:12]}.\n")
    print("| case | truth | most believed | determined (expected) |")
    print("| --- | --- | --- | --- |")
    rows = []
    for path in sorted((ROOT / "casebook" / "check").glob("*.yaml")):
        case = read_case(path, vocabulary=rulebook)
        areas = {area.id: area for area in weigh_with(reasoner, case, folder=path.parent).areas}
        for key in case.key.areas:
            area = areas[key.area]
            rows.append((key, *judged(key, area)))
            top = ", ".join(f"{cause.id} {cause.probability:.2f}" for cause in area.causes[:2])
            said = "yes" if area.determined else "no"
            expected = "yes" if key.determined else "no"
            print(f"| {path.stem} | {', '.join(key.truth) or 'dry'} | {top} | {said} ({expected}) |")
    count = len(rows)
    firm_expected = [row for row in rows if row[0].determined]
    print(f"\nTruth leads in {sum(row[1] for row in rows)} of {count} areas", end="; ")
    print(f"where the key says determined, in {sum(row[1] for row in firm_expected)} of {len(firm_expected)}", end="; ")
    print(f"wrong firm conclusions {sum(row[2] for row in rows)} of {count}", end="; ")
    print(f"*determined* as the key has it in {sum(row[3] for row in rows)} of {count}.")


if __name__ == "__main__":
    main()
