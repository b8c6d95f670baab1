"""How the casebook fares with each topic's evidence removed: the table in DEVELOPERS.md. Run it by hand.

``python tests/tools/ablation.py`` prints a Markdown table. The cases are *tuned* (the rules were written with them
in view), so the figures show what each kind of evidence carries in this rule base, never accuracy in the field.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from engine.case import read_case
from engine.opinion.determining import determine, gate_state
from engine.opinion.reasoner import Evidence, Reasoner
from engine.opinion.weighing import gather
from engine.rulebook import load_rulebook


def outcome(reasoner, evidence, facts, truth):
    """Whether the truth leads, and whether it is determined, on this evidence."""
    belief = reasoner.believe(evidence)
    gates = {cause: gate_state(reasoner, cause, evidence.facts) for cause in reasoner.rulebook.causes}
    found = determine(reasoner, evidence, belief, facts, gates, unknown=False)
    return set(found.leading) == truth, found.determined


def without_topic(rulebook, evidence, topic):
    """The evidence less the findings of one topic."""
    gone = {name for name, finding in rulebook.findings.items() if finding.topic == topic}
    return Evidence(
        {name: fact for name, fact in evidence.facts.items() if name not in gone},
        evidence.firings,
        evidence.contested,
        tuple(seen for seen in evidence.observations if seen.finding not in gone),
        evidence.masks,
    )


def main():
    """Print the table."""
    rulebook = load_rulebook()
    reasoner = Reasoner(rulebook)
    places = []
    for path in sorted((ROOT / "casebook").glob("*/*.yaml")):
        if path.parent.name not in ("demo", "regression"):
            continue
        case = read_case(path, vocabulary=rulebook)
        keys = {key.area: key for key in case.key.areas if key.determined}
        for area in case.areas:
            if area.id in keys:
                known = gather(reasoner, case, area, path.parent)
                places.append((reasoner.find(known.facts), known.facts, set(keys[area.id].truth)))
    topics = sorted({finding.topic for finding in rulebook.findings.values()})
    print(f"| evidence removed | truth leads, of {len(places)} areas | determined |")
    print("| --- | --- | --- |")
    for topic in (None, *topics):
        results = []
        for evidence, facts, truth in places:
            left = evidence if topic is None else without_topic(rulebook, evidence, topic)
            results.append(outcome(reasoner, left, facts, truth))
        title = "nothing" if topic is None else rulebook.topics[topic].title.lower()
        print(f"| {title} | {sum(leads for leads, _ in results)} | {sum(firm for _, firm in results)} |")


if __name__ == "__main__":
    main()
