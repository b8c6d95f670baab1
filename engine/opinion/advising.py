"""What follows from the weighed causes: cautions, timber, and the next steps in a useful order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.inference.belief import Posterior
from engine.inference.chaining import Firing
from engine.inference.facts import Fact, Facts, Sureness
from engine.opinion.determining import Determination, mechanisms_of
from engine.opinion.models import CautionAdvice, GateCheck, OpenFinding, StepAdvice, TimberOpinion
from engine.opinion.reasoner import Evidence, Reasoner
from engine.rulebook.models import Step

TIMBER_BY_GRAVITY = ("decay-seen", "at-risk", "not-inspected", "watch", "no-evidence-of-risk")
URGENCY = ("hours", "days", "weeks", "planned")
SHORTLIST = 8


@dataclass(frozen=True, slots=True)
class Advice:
    """Cautions first, then timber, then steps: the best parting tests, the actions, and what is open."""

    cautions: tuple[CautionAdvice, ...]
    timber: TimberOpinion
    steps: tuple[StepAdvice, ...]
    open_findings: tuple[OpenFinding, ...]
    firings: tuple[Firing, ...]


def advise(
    reasoner: Reasoner,
    evidence: Evidence,
    posterior: Posterior,
    determination: Determination,
    gates: Mapping[str, tuple[GateCheck, ...]],
    unknown: bool,
    dry: bool,
) -> Advice:
    """Run the advice stratum over the findings and the beliefs, and put its conclusions in order."""
    facts = {**evidence.facts, **_belief_facts(reasoner, posterior, determination, gates, unknown, dry)}
    firings = reasoner.advice.run(facts).firings
    bits = posterior.information(masks=evidence.masks)
    called: dict[str, dict[str, list[str]]] = {"step": {}, "caution": {}, "timber": {}}
    for firing in firings:
        for conclusion in firing.conclusions:
            called[conclusion.kind].setdefault(conclusion.target, []).append(firing.rule)
    steps = _steps(reasoner, posterior, bits, called["step"], determination, gates)
    return Advice(
        cautions=_cautions(reasoner, called["caution"]),
        timber=_timber(called["timber"]),
        steps=steps,
        open_findings=_open_findings(reasoner, bits),
        firings=firings,
    )


def _belief_facts(
    reasoner: Reasoner,
    posterior: Posterior,
    determination: Determination,
    gates: Mapping[str, tuple[GateCheck, ...]],
    unknown: bool,
    dry: bool,
) -> Facts:
    open_at_least = reasoner.rulebook.parameter("open-at-least")
    values: dict[str, str | float] = {
        "determined": _yes(determination.determined),
        "level": determination.level,
        "unknown-cause": _yes(unknown),
        "no-active-damp": _yes(dry),
    }
    for cause, probability in posterior.marginals.items():
        values[f"belief.{cause}"] = probability
        values[f"leading.{cause}"] = _yes(cause in determination.leading)
        values[f"open.{cause}"] = _yes(probability >= open_at_least)
        values[f"gate.{cause}"] = "made" if all(check.made for check in gates[cause]) else "open"
    for mechanism, causes in mechanisms_of(reasoner).items():
        values[f"mechanism.{mechanism}"] = posterior.any_of(causes)
    return {name: Fact(name, value, Sureness.CERTAIN, True, "the weighing") for name, value in values.items()}


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _cautions(reasoner: Reasoner, called: Mapping[str, list[str]]) -> tuple[CautionAdvice, ...]:
    records = sorted((reasoner.rulebook.cautions[name] for name in called), key=lambda c: (c.rank, c.id))
    return tuple(CautionAdvice(c.id, c.title, c.text, c.defer_to, tuple(called[c.id])) for c in records)


def _timber(called: Mapping[str, list[str]]) -> TimberOpinion:
    for state in TIMBER_BY_GRAVITY:
        if state in called:
            return TimberOpinion(state, state.replace("-", " "), tuple(called[state]))
    return TimberOpinion("not-inspected", "not inspected", ())


def _open_findings(reasoner: Reasoner, bits: Mapping[str, float]) -> tuple[OpenFinding, ...]:
    worth = sorted(bits, key=lambda finding: (-bits[finding], finding))[:SHORTLIST]
    questions = reasoner.rulebook.questions
    return tuple(
        OpenFinding(
            finding=name,
            title=reasoner.rulebook.findings[name].title,
            bits=bits[name],
            questions=tuple(
                seen.attribute for seen in reasoner.rulebook.findings[name].observed_by if seen.attribute in questions
            ),
            steps=tuple(step.id for step in reasoner.rulebook.steps.values() if name in step.settles),
        )
        for name in worth
    )


def _steps(
    reasoner: Reasoner,
    posterior: Posterior,
    bits: Mapping[str, float],
    called: Mapping[str, list[str]],
    determination: Determination,
    gates: Mapping[str, tuple[GateCheck, ...]],
) -> tuple[StepAdvice, ...]:
    """What to do next: while something is open the checks a likely cause still lacks, then the best parting tests.

    Most urgent first; works that cannot be undone last. Once determined, acting on the source comes before tests.
    """
    steps = reasoner.rulebook.steps
    settled = determination.determined
    best = _best_findings(reasoner, bits)
    worth = best if settled else _worth_of_tests(reasoner, posterior, bits, best)
    needed = _gate_steps(reasoner, posterior, determination, gates)
    wanted = () if settled else (*needed, *worth)
    listed = {**{name: [] for name in wanted}, **called}
    parting = list(dict.fromkeys(wanted))
    rest = sorted(
        (name for name in listed if name not in parting),
        key=lambda name: (
            steps[name].irreversible,
            URGENCY.index(steps[name].urgency),
            (steps[name].kind == "test") is settled,
            -worth.get(name, 0.0),
            name,
        ),
    )
    order = _respecting_order([*parting, *rest], steps)
    return tuple(
        _step_advice(reasoner, steps[name], worth.get(name, 0.0), listed[name], determination, gates) for name in order
    )


def _gate_steps(
    reasoner: Reasoner,
    posterior: Posterior,
    determination: Determination,
    gates: Mapping[str, tuple[GateCheck, ...]],
) -> tuple[str, ...]:
    """The steps by which the unmade gate checks of the likely causes would be made, in the order of the gates."""
    level = reasoner.rulebook.parameter("determined-at-least")
    likely = [cause for cause in determination.leading if posterior.marginals[cause] >= level]
    return tuple(dict.fromkeys(check.step for cause in likely for check in gates[cause] if not check.made))


def _best_findings(reasoner: Reasoner, bits: Mapping[str, float]) -> dict[str, float]:
    """What the most telling open finding of each test would tell [bits]."""
    return {
        step.id: max((bits.get(finding, 0.0) for finding in step.settles), default=0.0)
        for step in reasoner.rulebook.steps.values()
        if step.kind == "test" and step.settles
    }


def _worth_of_tests(
    reasoner: Reasoner, posterior: Posterior, bits: Mapping[str, float], best: Mapping[str, float]
) -> dict[str, float]:
    """The best tests with what they would tell [bits]: the most telling, by what they tell a minute of effort.

    A test counts when it would tell at least half as much as the most telling one, so that a cheap look does
    not crowd out the test that settles the matter.
    """
    short = sorted((name for name in best if best[name] > 0), key=lambda name: (-best[name], name))[:SHORTLIST]
    steps = reasoner.rulebook.steps
    told = {
        name: posterior.information_of(
            sorted((f for f in steps[name].settles if f in bits), key=lambda f: (-bits[f], f))[:3]
        )
        for name in short
    }
    if not told:
        return {}
    enough = max(told.values()) / 2
    minutes = {name: reasoner.rulebook.parameter(f"effort-{steps[name].effort}") for name in told}
    kept = sorted((name for name in told if told[name] >= enough), key=lambda name: (-told[name] / minutes[name], name))
    return {name: told[name] for name in kept}


def _respecting_order(names: Sequence[str], steps: Mapping[str, Step]) -> list[str]:
    """The same names with every step after those that must come first, otherwise in the given order."""
    placed: list[str] = []
    waiting = list(names)
    while waiting:
        free = next((n for n in waiting if not any(a in waiting for a in steps[n].after)), waiting[0])
        placed.append(free)
        waiting.remove(free)
    return placed


def _step_advice(
    reasoner: Reasoner,
    step: Step,
    bits: float,
    rules: list[str],
    determination: Determination,
    gates: Mapping[str, tuple[GateCheck, ...]],
) -> StepAdvice:
    return StepAdvice(
        id=step.id,
        title=step.title,
        kind=step.kind,
        purpose=step.purpose,
        how=step.how,
        plain=step.plain,
        parts=step.parts,
        bits=bits,
        effort=step.effort,
        cost=step.cost,
        who=step.who,
        urgency=step.urgency,
        means=tuple((meaning.result, meaning.means) for meaning in step.means),
        rules=tuple(sorted(set(rules))),
        held_back=_held_back(reasoner, step, determination, gates),
    )


def _held_back(
    reasoner: Reasoner,
    step: Step,
    determination: Determination,
    gates: Mapping[str, tuple[GateCheck, ...]],
) -> tuple[str, ...]:
    """Why an irreversible step must wait: its cause is not determined, or its gate's checks are not made."""
    if not step.irreversible:
        return ()
    reasons = []
    firm = determination.leading if determination.determined and determination.level == "cause" else ()
    for cause in step.treats:
        title = reasoner.rulebook.title(cause)
        if cause not in firm:
            reasons.append(f"{title} is not determined")
        reasons.extend(f"not yet checked: {check.title}" for check in gates[cause] if not check.made)
    return tuple(dict.fromkeys(reasons))
