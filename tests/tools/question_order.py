"""How many questions it takes to reach what the full evidence says: the table in DEVELOPERS.md. Run it by hand.

``python tests/tools/question_order.py`` plays every determined area of the worked cases against an answerer who knows
the case and says *unknown* to everything else. Readings, air, samples and timber are there from the start, for every
order alike. Counted are the prompts after set-up and safety until the leading causes and the determination are those
of the full evidence. Four orders, all with the same applicability filter: the program's; that of a checklist of a
competent investigation (building, occupation, weather, outside, inside, air, meter, timber, opening up, laboratory);
cheapest first; at random (the median of three shuffles).
"""

from __future__ import annotations

import math
import os
import random
import statistics
import sys
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from engine.case import read_case
from engine.inquiry.agenda import Agenda
from engine.inquiry.applying import Standing
from engine.inquiry.knowing import Knowledge
from engine.opinion import weighing
from engine.opinion.determining import determine, gate_state
from engine.opinion.reasoner import Reasoner
from engine.rulebook import load_rulebook

SHUFFLES = 3
EFFORTS = ("ask", "look", "meter", "climb", "open-up", "laboratory")
SETTING = ("ground-moisture", "surroundings")
OUTSIDE = ("rain",)


@dataclass(frozen=True)
class Played:
    """A determined area: its measured facts, the answers its case holds, and what the full evidence says."""

    name: str
    measured: dict
    answers: dict
    wanted: tuple


def outcome(reasoner, state):
    """Determined or not, at which level, and what leads; None while no cause is likely enough to be determined."""
    gates = {cause: gate_state(reasoner, cause, state.evidence.facts) for cause in reasoner.rulebook.causes}
    first = determine(reasoner, state.evidence, state.belief, state.facts, gates, unknown=False)
    unknown = False
    if first.determined:
        misfits = weighing._unexplained(reasoner, state.evidence, state.belief)
        unknown = bool(weighing._unknown_because(reasoner, state.evidence, state.belief, misfits))
    leads = first.leading if first.level != "mechanism" else first.leading_mechanisms
    return first.determined and not unknown, first.level, tuple(sorted(leads))


def may_be(reasoner, state, wanted):
    """Whether what is likely could be the wanted outcome: a quick look before the long one."""
    level = reasoner.rulebook.parameter("determined-at-least")
    likely = {cause for cause, belief in state.belief.posterior.marginals.items() if belief >= level}
    return wanted[1] != "cause" or likely == set(wanted[2])


def checklist_place(question):
    """The place of a question in the checklist of a competent investigation, by who, effort, topic and scope."""
    if question.effort == "laboratory":
        return 10
    if question.effort == "open-up" or question.who == "opening-up":
        return 9
    if question.topic == "timber":
        return 8
    if question.effort == "meter":
        return 7 if question.topic in ("meter-modes", "instrument-and-technique", "salts", "conductors") else 6
    if question.scope == "dwelling" or question.topic.startswith("history"):
        return 1
    if question.scope == "visit":
        return 3
    if question.effort == "ask":
        return 2
    if question.topic in OUTSIDE or question.effort == "climb":
        return 4
    return 5


def fixed(names):
    """An order that was settled beforehand."""

    def choose(state, standings, left, topic):
        return next((n for n in names if standings[n] is Standing.OPEN), None)

    return choose


def play(knowledge, agenda, area, choose):
    """How many prompts until the outcome is the wanted one; None when the order ends before."""
    rulebook = agenda.rulebook
    facts, left, topic, count = dict(area.measured), set(), None, 0
    facts |= {name: fact for name, fact in area.answers.items() if rulebook.questions[name].safety}
    left |= {name for name in agenda.safety if name not in facts}
    state, moved = knowledge.weighed(facts), True
    while True:
        if (
            moved
            and may_be(knowledge.reasoner, state, area.wanted)
            and (outcome(knowledge.reasoner, state) == area.wanted)
        ):
            return count
        name = choose(state, agenda.standings(state, left), left, topic)
        if name is None:
            return None
        count, topic, moved = count + 1, rulebook.questions[name].topic, name in area.answers
        if moved:
            facts[name] = area.answers[name]
            state = knowledge.weighed(facts)
        else:
            left.add(name)


def areas(rulebook, reasoner, only):
    """Every area of the worked cases that its key calls determined, and that is."""
    for path in sorted((ROOT / "casebook").glob("*/*.yaml")):
        if path.parent.name not in ("demo", "regression") or (only and path.stem not in only):
            continue
        case = read_case(path, vocabulary=rulebook)
        keys = {key.area for key in case.key.areas if key.determined}
        for area in case.areas:
            if area.id in keys:
                state = Knowledge(reasoner, path.parent).state(case, area)
                wanted = outcome(reasoner, state)
                answers = {n: f for n, f in state.facts.items() if n in rulebook.questions}
                measured = {n: f for n, f in state.facts.items() if n not in answers}
                if wanted[0]:
                    yield Played(f"{path.stem}: {area.id}", measured, answers, wanted)


def main():
    """Print the table."""
    rulebook = load_rulebook()
    reasoner = Reasoner(rulebook, "python")
    knowledge, agenda = Knowledge(reasoner), Agenda(reasoner)
    written = sorted(
        rulebook.questions, key=lambda n: (rulebook.origin[n].split(":")[0], int(rulebook.origin[n].split(":")[1]))
    )
    questions = [rulebook.questions[name] for name in written if not rulebook.questions[name].safety]

    def ours(state, standings, left, topic):
        return agenda.next(state, standings, left, topic=topic).question

    listed = [q.id for q in sorted(questions, key=checklist_place)]
    cheap = [q.id for q in sorted(questions, key=lambda q: EFFORTS.index(q.effort))]
    print("| area | ours | checklist | cheapest first | random |")
    print("| --- | --- | --- | --- | --- |")
    rows = []
    for area in areas(rulebook, reasoner, sys.argv[1:]):
        shuffled = []
        for seed in range(SHUFFLES):
            order = [q.id for q in questions]
            random.Random(seed).shuffle(order)
            shuffled.append(play(knowledge, agenda, area, fixed(order)))
        known = [count for count in shuffled if count is not None]
        chance = statistics.median(known) if known else None
        row = [play(knowledge, agenda, area, choose) for choose in (ours, fixed(listed), fixed(cheap))] + [chance]
        rows.append(row)
        print(f"| {area.name} | " + " | ".join("-" if n is None else f"{n:g}" for n in row) + " |", flush=True)
    columns = list(zip(*rows, strict=True))
    medians = [statistics.median(math.inf if n is None else n for n in column) for column in columns]
    print(f"| **median of {len(rows)}, a dash as never** | " + " | ".join(f"**{n:g}**" for n in medians) + " |")
    reached = [statistics.median(n for n in column if n is not None) for column in columns]
    print("| median of those reached | " + " | ".join(f"{n:g}" for n in reached) + " |")
    ended = [column.count(None) for column in columns]
    print("| ended before | " + " | ".join(str(n) for n in ended) + " |")
    pairs = [(row[0], row[1]) for row in rows if row[0] is not None and row[1]]
    share = statistics.median(mine / theirs for mine, theirs in pairs)
    print(f"\nOurs as a share of the checklist's, median: {share:.0%}; of the medians: {medians[0] / medians[1]:.0%}")
    print("A dash: the order ended without it.")


if __name__ == "__main__":
    main()
