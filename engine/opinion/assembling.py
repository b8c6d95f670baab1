"""Puts the pieces of one area's opinion into the object that views render, in a stated order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from engine.case.models import Area
from engine.inference.chaining import ChainConclusion, Firing
from engine.inference.facts import Fact
from engine.opinion.advising import Advice
from engine.opinion.determining import Determination, mechanisms_of
from engine.opinion.models import (
    AreaOpinion,
    CauseOpinion,
    Contested,
    Exclusion,
    Explanation,
    GateCheck,
    Leaning,
    Limit,
    Matched,
    MechanismOpinion,
    NoActiveDamp,
    Reason,
    TraceLine,
    Unexplained,
    Voided,
)
from engine.opinion.reasoner import Belief, Evidence, Reasoner
from engine.opinion.words import belief_band, belief_words
from engine.rulebook.models import Citation

LEAST_WEIGHT = 0.05
"""A weight of evidence smaller than this [dB] moves no belief by as much as one percent, and is no reason."""

EXPLANATIONS = 5
"""How many of the most probable joint explanations an opinion holds."""


@dataclass(frozen=True, slots=True)
class Assembly:
    """All that `assemble` needs."""

    reasoner: Reasoner
    area: Area
    evidence: Evidence
    belief: Belief
    weights: Mapping[str, Mapping[str, float]]
    gates: Mapping[str, tuple[GateCheck, ...]]
    determination: Determination
    advice: Advice
    unexplained: tuple[Unexplained, ...]
    unknown_because: tuple[str, ...]
    dry: NoActiveDamp
    carried_by: tuple[str, ...]
    admission: tuple[Firing, ...]
    voided: tuple[Voided, ...]
    limits: tuple[Limit, ...]
    doubts: tuple[str, ...]


def assemble(parts: Assembly) -> AreaOpinion:
    """The opinion on one area."""
    posterior = parts.belief.posterior
    rulebook = parts.reasoner.rulebook
    return AreaOpinion(
        id=parts.area.id,
        title=parts.area.title,
        reference_class=rulebook.title(parts.belief.reference_class),
        determined=parts.determination.determined,
        level=parts.determination.level,
        leading=parts.determination.leading,
        leading_mechanisms=parts.determination.leading_mechanisms,
        why_not_determined=parts.determination.why_not,
        causes=_causes(parts),
        mechanisms=_mechanisms(parts),
        explanations=tuple(Explanation(causes, p) for causes, p in posterior.sets(EXPLANATIONS)),
        unexplained=parts.unexplained,
        contested=tuple(
            Contested(name, rulebook.findings[name].title, claims)
            for name, claims in sorted(parts.evidence.contested.items())
        ),
        unknown=bool(parts.unknown_because),
        unknown_because=parts.unknown_because,
        no_active_damp=parts.dry,
        open_findings=parts.advice.open_findings,
        carried_by=parts.carried_by,
        timber=parts.advice.timber,
        steps=parts.advice.steps,
        cautions=parts.advice.cautions,
        voided=parts.voided,
        limits=parts.limits,
        doubts=parts.doubts,
        sets_up_to=posterior.size,
        estimated_error=posterior.estimated_error,
        trace=_trace(parts),
    )


def _causes(parts: Assembly) -> tuple[CauseOpinion, ...]:
    rulebook = parts.reasoner.rulebook
    posterior = parts.belief.posterior
    seen = _seen(parts)
    opinions = []
    for cause in rulebook.causes.values():
        probability = posterior.marginals[cause.id]
        opinions.append(
            CauseOpinion(
                id=cause.id,
                title=cause.title,
                plain=cause.plain,
                kind=cause.kind,
                mechanism=cause.mechanism,
                probability=probability,
                words=belief_words(probability, rulebook.numbers),
                band=belief_band(probability, rulebook.numbers),
                base_rate=parts.belief.base_rates[cause.id],
                prior=parts.belief.priors[cause.id],
                evidence_decibans=posterior.evidence_decibans(cause.id),
                reasons=_reasons(cause.id, seen),
                leanings=_leanings(parts, cause.id),
                exclusions=_exclusions(parts, cause.id),
                gate=parts.gates[cause.id],
            )
        )
    return tuple(sorted(opinions, key=lambda opinion: (-opinion.probability, opinion.id)))


def _concluded_by(firings: tuple[Firing, ...]) -> dict[tuple[str, str], tuple[str, ...]]:
    rules: dict[tuple[str, str], list[str]] = {}
    for firing in firings:
        for conclusion in firing.conclusions:
            if conclusion.kind == "finding":
                rules.setdefault((conclusion.target, conclusion.value), []).append(firing.rule)
    return {key: tuple(sorted(names)) for key, names in rules.items()}


def _seen(parts: Assembly) -> list[tuple[Mapping[str, float], dict[str, Any]]]:
    """Every finding as observed: what it weighs for each cause, and what any reason says of it."""
    concluded_by = _concluded_by(parts.evidence.firings)
    return [
        (
            parts.weights[seen.finding],
            {
                "finding": seen.finding,
                "title": parts.reasoner.rulebook.findings[seen.finding].title,
                "state": seen.state,
                "sureness": seen.sureness.word,
                "rules": concluded_by.get((seen.finding, seen.state), ()),
            },
        )
        for seen in parts.evidence.observations
        if seen.finding in parts.weights
    ]


def _reasons(cause: str, seen: Iterable[tuple[Mapping[str, float], dict[str, Any]]]) -> tuple[Reason, ...]:
    """Findings that speak for or against a cause, weightiest first; those that hardly weigh are left out."""
    reasons = [
        Reason(decibans=decibans, **said)
        for weights, said in seen
        if abs(decibans := weights.get(cause, 0.0)) >= LEAST_WEIGHT
    ]
    return tuple(sorted(reasons, key=lambda reason: (-abs(reason.decibans), reason.finding)))


def _leanings(parts: Assembly, cause: str) -> tuple[Leaning, ...]:
    rules = parts.reasoner.rulebook.rules
    shares = [share for share in parts.belief.leanings if share.cause == cause]
    return tuple(
        Leaning(share.rule, rules[share.rule].title, share.decibans, rules[share.rule].because)
        for share in sorted(shares, key=lambda share: (-abs(share.decibans), share.rule))
    )


def _exclusions(parts: Assembly, cause: str) -> tuple[Exclusion, ...]:
    rules = parts.reasoner.rulebook.rules
    shares = [share for share in parts.belief.exclusions if share.cause == cause]
    return tuple(
        Exclusion(share.rule, rules[share.rule].because, share.hard, share.overturned_by)
        for share in sorted(shares, key=lambda share: (not share.hard, share.rule))
    )


def _mechanisms(parts: Assembly) -> tuple[MechanismOpinion, ...]:
    opinions = []
    for name, causes in mechanisms_of(parts.reasoner).items():
        probability = parts.belief.posterior.any_of(causes)
        numbers = parts.reasoner.rulebook.numbers
        words, band = belief_words(probability, numbers), belief_band(probability, numbers)
        opinions.append(MechanismOpinion(name, name.replace("-", " "), probability, words, band, causes))
    return tuple(sorted(opinions, key=lambda opinion: (-opinion.probability, opinion.id)))


def _trace(parts: Assembly) -> tuple[TraceLine, ...]:
    firings = (*parts.admission, *parts.evidence.firings, *parts.advice.firings)
    return tuple(_trace_line(parts.reasoner, firing) for firing in firings)


def _trace_line(reasoner: Reasoner, firing: Firing) -> TraceLine:
    words = reasoner.words_of_rules.get(firing.rule)
    if words is None:
        words = reasoner.words_of_rules.setdefault(firing.rule, _rule_words(reasoner, firing))
    matched = tuple(_matched(reasoner, fact) for fact in firing.matched)
    return TraceLine(rule=firing.rule, matched=matched, sureness=firing.sureness.word, **words)


def _rule_words(reasoner: Reasoner, firing: Firing) -> dict[str, Any]:
    """A rule as it reads in any trace; one made from a finding's ``observed_by`` takes its words from the finding."""
    rulebook = reasoner.rulebook
    rule = rulebook.rules.get(firing.rule)
    finding = None if rule else rulebook.findings[firing.rule.partition(":")[0]]
    sources = rule.source if rule else finding.source if finding else ()
    return {
        "title": rule.title if rule else finding.title if finding else firing.rule,
        "stratum": rule.stratum if rule else "readings",
        "conclusions": tuple(_conclusion_words(reasoner, conclusion) for conclusion in firing.conclusions),
        "because": rule.because if rule else f"{finding.title}: observed directly" if finding else "",
        "sources": tuple(_cited(reasoner, citation) for citation in sources),
    }


def _matched(reasoner: Reasoner, fact: Fact) -> Matched:
    rulebook = reasoner.rulebook
    attribute = rulebook.attributes.get(fact.attribute)
    value = str(fact.value)
    if attribute is not None:
        value = next((choice.title for choice in attribute.choices if choice.id == fact.value), value)
        if isinstance(fact.value, float):
            value = f"{fact.value:g} {attribute.unit or ''}".strip()
    title = attribute.title if attribute else _finding_title(reasoner, fact.attribute)
    return Matched(fact.attribute, title, value, fact.sureness.word, fact.origin)


def _finding_title(reasoner: Reasoner, name: str) -> str:
    finding = reasoner.rulebook.findings.get(name)
    return finding.title if finding else name


def _conclusion_words(reasoner: Reasoner, conclusion: ChainConclusion) -> str:
    known = reasoner.rulebook.kind_of(conclusion.target) if conclusion.target else None
    title = reasoner.rulebook.title(conclusion.target) if known else conclusion.target
    value = f": {conclusion.value}" if conclusion.value else ""
    return f"{conclusion.kind} {title}{value}".replace("  ", " ").strip()


def _cited(reasoner: Reasoner, citation: Citation) -> str:
    """A citation as it reads, with how the source reached us unless it was read."""
    source = reasoner.rulebook.sources[citation.source]
    clause = f", {citation.clause}" if citation.clause else ""
    if source.kind != "published":
        return f"{source.title}{clause}"
    seen = {"secondary": " (seen at second hand)", "from_memory": " (from memory)"}.get(source.seen or "", "")
    return f"{source.title}{clause}{seen}"
