"""From a case to the opinion on it: admission, measures, chaining, belief, determination, advice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from engine.case import case_digest
from engine.case.models import Area, Case
from engine.inference.chaining import Firing
from engine.inference.facts import Facts, Sureness
from engine.measures import instrument_facts, measure
from engine.opinion.advising import advise
from engine.opinion.assembling import Assembly, assemble
from engine.opinion.determining import Determination, carrying_facts, determine, gate_state
from engine.opinion.models import AreaOpinion, GateCheck, Limit, NoActiveDamp, Opinion, Stamp, Unexplained, Voided
from engine.opinion.reasoner import Belief, Evidence, Reasoner
from engine.opinion.resolving import resolve
from engine.opinion.words import belief_words
from engine.rulebook import Rulebook
from engine.version import VERSION

ROUNDING = 1e-9
"""A strength that is just the limit counts as the limit, however its digits fall."""


@dataclass(frozen=True, slots=True)
class AreaFacts:
    """All that is known of an area before any rule about findings runs."""

    facts: Facts
    doubts: tuple[str, ...]
    limits: tuple[Limit, ...]
    voided: tuple[Voided, ...]
    admission: tuple[Firing, ...]


def weigh(
    case: Case, rulebook: Rulebook, *, folder: Path | None = None, backend: str = "auto", exact: bool = False
) -> Opinion:
    """The opinion on every area of a case.

    ``folder`` is the case's own, in which its loggers' files lie; without it they are not read, and that is a
    limit. ``backend`` chooses what chains the rules (auto, durable, python); the opinion is the same to the byte.
    ``exact`` enumerates every set of causes instead of growing the sets until the rest is negligible.
    The case must have been read against this rule base's vocabulary.
    """
    return weigh_with(Reasoner(rulebook, backend), case, folder=folder, exact=exact)


def weigh_with(
    reasoner: Reasoner, case: Case, *, folder: Path | None = None, exact: bool = False, reasons: bool = True
) -> Opinion:
    """The opinion on a case by a reasoner already built, for many cases in one process.

    Without ``reasons`` what each finding weighs for a cause, and which facts carry one that leads, is not reckoned and
    stays empty; all else is the same. That is quicker, and enough for cases that are only sorted.
    """
    rulebook = reasoner.rulebook
    return Opinion(
        case=Stamp(case_digest(case), case.title),
        rulebook=Stamp(rulebook.digest, "rule base"),
        version=VERSION,
        invented=case.invented,
        areas=tuple(
            weigh_area(reasoner, area, gather(reasoner, case, area, folder), exact=exact, reasons=reasons)
            for area in sorted(case.areas, key=lambda area: area.id)
        ),
    )


def gather(reasoner: Reasoner, case: Case, area: Area, folder: Path | None = None) -> AreaFacts:
    """Admit the instruments, measure what is left, and settle the facts of one area."""
    voided, admission = _admit(reasoner, case, area)
    set_aside = frozenset((void.visit, void.instrument) for void in voided)
    measured = measure(case, area, reasoner.rulebook.numbers, set_aside, folder)
    resolved = resolve(case, area, reasoner.rulebook.attributes)
    computed = {fact.attribute: fact for fact in measured.facts}
    replaced = [
        f"{reasoner.rulebook.title(name)}: computed from the readings, not as stated in the case"
        for name in sorted(set(computed) & set(resolved.facts))
        if computed[name].value != resolved.facts[name].value
    ]
    limits = [Limit(item.what, item.why) for item in (*case.dwelling.not_inspected, *area.not_inspected)]
    limits += [
        Limit(reasoner.rulebook.title(name), "not inspected")
        for name in resolved.not_inspected
        if not any(name in item.attributes for item in (*case.dwelling.not_inspected, *area.not_inspected))
    ]
    limits += [Limit(what, why) for what, why in measured.limits]
    return AreaFacts(
        facts={**resolved.facts, **computed},
        doubts=tuple(dict.fromkeys((*resolved.doubts, *measured.doubts, *replaced))),
        limits=tuple(sorted(set(limits), key=lambda limit: (limit.what, limit.why))),
        voided=voided,
        admission=admission,
    )


def _admit(reasoner: Reasoner, case: Case, area: Area) -> tuple[tuple[Voided, ...], tuple[Firing, ...]]:
    voided: list[Voided] = []
    firings: list[Firing] = []
    for visit in case.visits:
        for instrument in visit.instruments:
            facts = {fact.attribute: fact for fact in instrument_facts(case, visit, instrument)}
            for firing in reasoner.admission.run(facts).firings:
                firings.append(firing)
                if any(conclusion.kind == "void" for conclusion in firing.conclusions):
                    count = _readings_of(area, visit.id, instrument.id, len(case.visits) == 1)
                    because = reasoner.rulebook.rules[firing.rule].because
                    voided.append(Voided(instrument.id, visit.id, firing.rule, because, count))
    return tuple(sorted(voided, key=lambda v: (v.visit, v.instrument, v.rule))), tuple(firings)


def _readings_of(area: Area, visit: str, instrument: str, only_visit: bool) -> int:
    def here(taken_on: str | None) -> bool:
        return taken_on == visit or (taken_on is None and only_visit)

    walls = [r for surface in area.surfaces for r in surface.readings if r.instrument == instrument and here(r.visit)]
    timber = [t for t in area.timber if t.instrument == instrument and here(t.visit)]
    return len(walls) + len(timber)


@dataclass(frozen=True, slots=True)
class Judgement:
    """What facts come to before any advice: findings, belief, gates, what does not fit, and what is determined."""

    evidence: Evidence
    belief: Belief
    gates: Mapping[str, tuple[GateCheck, ...]]
    unexplained: tuple[Unexplained, ...]
    unknown_because: tuple[str, ...]
    determination: Determination


def judge(reasoner: Reasoner, facts: Facts, *, exact: bool = False) -> Judgement:
    """Chain and weigh the facts of one area, as they are or as they might have been, and test what they determine."""
    evidence = reasoner.find(facts)
    belief = reasoner.believe(evidence, exact=exact)
    gates = {cause: gate_state(reasoner, cause, evidence.facts) for cause in reasoner.rulebook.causes}
    unexplained = _unexplained(reasoner, evidence, belief)
    unknown_because = _unknown_because(reasoner, evidence, belief, unexplained)
    determination = determine(reasoner, evidence, belief, facts, gates, bool(unknown_because))
    return Judgement(evidence, belief, gates, unexplained, unknown_because, determination)


def weigh_area(
    reasoner: Reasoner, area: Area, known: AreaFacts, *, exact: bool = False, reasons: bool = True
) -> AreaOpinion:
    """The opinion on one area from its facts; ``reasons`` as for `weigh_with`."""
    judged = judge(reasoner, known.facts, exact=exact)
    evidence, belief, gates, determination = judged.evidence, judged.belief, judged.gates, judged.determination
    unexplained, unknown_because = judged.unexplained, judged.unknown_because
    dry = _no_active_damp(reasoner, evidence, belief)
    weights = belief.posterior.reasons() if reasons else {}
    advice = advise(reasoner, evidence, belief.posterior, determination, gates, bool(unknown_because), dry.reportable)
    return assemble(
        Assembly(
            reasoner=reasoner,
            area=area,
            evidence=evidence,
            belief=belief,
            weights=weights,
            gates=gates,
            determination=determination,
            advice=advice,
            unexplained=unexplained,
            unknown_because=unknown_because,
            dry=dry,
            carried_by=carrying_facts(reasoner, evidence, known.facts, determination.leading, belief, weights),
            admission=known.admission,
            voided=known.voided,
            limits=known.limits,
            doubts=known.doubts,
        )
    )


def _unexplained(reasoner: Reasoner, evidence: Evidence, belief: Belief) -> tuple[Unexplained, ...]:
    """Certain findings that the most probable set of causes makes improbable, least probable first."""
    below = reasoner.rulebook.parameter("unexplained-below")
    best = belief.posterior.sets(1)[0][0]
    found = []
    for seen in evidence.observations:
        if seen.sureness is Sureness.CERTAIN:
            probability = belief.posterior.probability_under(seen.finding, best)
            if probability < below - ROUNDING:
                title = reasoner.rulebook.findings[seen.finding].title
                found.append(Unexplained(seen.finding, title, seen.state, probability))
    return tuple(sorted(found, key=lambda item: (item.probability, item.finding)))


def _unknown_because(
    reasoner: Reasoner, evidence: Evidence, belief: Belief, unexplained: tuple[Unexplained, ...]
) -> tuple[str, ...]:
    """Why the rule base may not know what is at work here; empty when nothing suggests it.

    Of many findings a few will not fit by chance, so more must not fit than the best explanation itself would expect.
    """
    numbers = reasoner.rulebook.numbers
    reasons = []
    if len(unexplained) >= numbers["unexplained-count"] and (
        belief.posterior.chance_of_misfits(
            [seen.finding for seen in evidence.observations if seen.sureness is Sureness.CERTAIN],
            belief.posterior.sets(1)[0][0],
            numbers["unexplained-below"] - ROUNDING,
            len(unexplained),
        )
        < numbers["surprise-below"]
    ):
        titles = ", ".join(item.title for item in unexplained)
        reasons.append(f"the best joint explanation does not fit: {titles}")
    if belief.posterior.surprise() < numbers["surprise-below"]:
        reasons.append("the findings as a whole are improbable on this rule base")
    return tuple(reasons)


def _no_active_damp(reasoner: Reasoner, evidence: Evidence, belief: Belief) -> NoActiveDamp:
    """P(no wetting cause), reportable only when enough findings are evidence of dryness and it is likely."""
    rulebook = reasoner.rulebook
    wetting = tuple(cause.id for cause in rulebook.causes.values() if cause.kind == "wetting")
    probability = 1 - belief.posterior.any_of(wetting)
    dry = [
        seen
        for seen in evidence.observations
        if seen.state in rulebook.findings[seen.finding].dry_evidence and seen.sureness > Sureness.NOT_SURE
    ]
    reportable = len(dry) >= rulebook.parameter("dry-evidence-count") and probability >= rulebook.parameter("likely")
    return NoActiveDamp(probability, belief_words(probability, rulebook.numbers), reportable)
