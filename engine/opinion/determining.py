"""Whether the evidence determines a cause, or a mechanism, or neither; and if neither, why not.

A conclusion is *determined* when its probability reaches the stated level, the findings (not the leanings)
give it enough weight, every check of its gate was made, no single told or not-sure fact carries it, and
nothing suggests a cause outside the rule base. Each test that fails is said in words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.inference.facts import Facts, Sureness
from engine.opinion.models import GateCheck
from engine.opinion.reasoner import Belief, Evidence, Reasoner, without


@dataclass(frozen=True, slots=True)
class Determination:
    """What is determined, at which level (cause, mechanism, none), and the reasons why not."""

    determined: bool
    level: str
    leading: tuple[str, ...]
    leading_mechanisms: tuple[str, ...]
    why_not: tuple[str, ...]
    carried_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Claim:
    """A conclusion under test: its name, the causes it covers, and the gates that it must pass."""

    title: str
    causes: tuple[str, ...]
    checks: tuple[GateCheck, ...]


def gate_state(reasoner: Reasoner, cause: str, facts: Facts) -> tuple[GateCheck, ...]:
    """The checks of a cause's gate, each made or not on these facts."""
    return tuple(
        GateCheck(rival, check.title, made, check.step) for rival, check, made in reasoner.checks_made(cause, facts)
    )


def mechanisms_of(reasoner: Reasoner) -> dict[str, tuple[str, ...]]:
    """The causes of each mechanism, in id order."""
    groups: dict[str, list[str]] = {}
    for cause in reasoner.rulebook.causes.values():
        groups.setdefault(cause.mechanism, []).append(cause.id)
    return {mechanism: tuple(groups[mechanism]) for mechanism in sorted(groups)}


def leading_causes(reasoner: Reasoner, belief: Belief) -> tuple[str, ...]:
    """The causes that reach the level of a conclusion, most probable first; else the most probable set of causes."""
    level, marginals = reasoner.rulebook.parameter("determined-at-least"), belief.posterior.marginals
    likely = tuple(sorted((c for c in marginals if marginals[c] >= level), key=lambda c: (-marginals[c], c)))
    return likely or belief.posterior.sets(1)[0][0]


def determine(
    reasoner: Reasoner,
    evidence: Evidence,
    belief: Belief,
    base_facts: Facts,
    gates: Mapping[str, tuple[GateCheck, ...]],
    unknown: bool,
) -> Determination:
    """Test the leading causes, then the leading mechanisms; ``base_facts`` are the facts before chaining."""
    numbers = reasoner.rulebook.numbers
    level = numbers["determined-at-least"]
    marginals = belief.posterior.marginals
    leading = leading_causes(reasoner, belief)
    likely = tuple(cause for cause in leading if marginals[cause] >= level)
    groups = mechanisms_of(reasoner)
    strength = {name: belief.posterior.any_of(causes) for name, causes in groups.items()}
    likely_mechanisms = tuple(
        sorted((name for name in groups if strength[name] >= level), key=lambda name: (-strength[name], name))
    )
    causes = reasoner.rulebook.causes

    cause_claims = [_Claim(causes[c].title, (c,), gates[c]) for c in likely]
    mechanism_claims = [
        _Claim(
            f"the mechanism, {name.replace('-', ' ')},",
            groups[name],
            _outer_checks(reasoner, groups[name], gates, marginals),
        )
        for name in likely_mechanisms
    ]
    carriers: tuple[str, ...] = ()
    why: list[str] = []
    if unknown:
        why.append("the findings suggest something that this rule base does not know")
    for name, claims in (("cause", cause_claims), ("mechanism", mechanism_claims)):
        if not claims:
            continue
        faults = [fault for claim in claims for fault in _faults(reasoner, claim, belief)]
        if not faults and not unknown:
            carriers = _weak_carriers(reasoner, evidence, base_facts, claims)
            if not carriers:
                return Determination(True, name, leading, likely_mechanisms, (), ())
            one = "it rests on one thing that was told or is not sure"
            several = "it would fall without any one of these, which were told or are not sure"
            faults = [f"{one if len(carriers) == 1 else several}: {'; '.join(carriers)}"]
        why.extend(fault for fault in faults if fault not in why)
    if not cause_claims and not mechanism_claims:
        why.append(f"no cause and no mechanism reaches {100 * level:.0f} % on this evidence")
    return Determination(False, "none", leading, likely_mechanisms, tuple(why), carriers)


def _outer_checks(
    reasoner: Reasoner,
    members: tuple[str, ...],
    gates: Mapping[str, tuple[GateCheck, ...]],
    marginals: Mapping[str, float],
) -> tuple[GateCheck, ...]:
    """The gate checks of a mechanism's open causes against rivals of other mechanisms."""
    open_at_least = reasoner.rulebook.parameter("open-at-least")
    return tuple(
        check
        for member in members
        if marginals[member] >= open_at_least
        for check in gates[member]
        if check.rival not in members
    )


def _faults(reasoner: Reasoner, claim: _Claim, belief: Belief) -> list[str]:
    numbers = reasoner.rulebook.numbers
    faults = []
    weight = belief.posterior.evidence_decibans_any(claim.causes)
    if weight < numbers["determined-evidence-decibans"]:
        faults.append(f"the findings give {claim.title.removesuffix(',')} too little weight of their own")
    unmade = {check.rival: check.title for check in reversed(claim.checks) if not check.made}
    for rival, title in sorted(unmade.items()):
        faults.append(f"{claim.title} is not yet told from {reasoner.rulebook.title(rival)}; not made: {title}")
    return faults


def _holds(reasoner: Reasoner, claims: list[_Claim], facts: Facts) -> bool:
    """Whether every claim still reaches its level with enough weight on these facts."""
    numbers = reasoner.rulebook.numbers
    posterior = reasoner.believe(reasoner.suppose(facts)).posterior
    return all(
        posterior.any_of(claim.causes) >= numbers["determined-at-least"]
        and posterior.evidence_decibans_any(claim.causes) >= numbers["determined-evidence-decibans"]
        for claim in claims
    )


def _weak_carriers(reasoner: Reasoner, evidence: Evidence, base_facts: Facts, claims: list[_Claim]) -> tuple[str, ...]:
    """The told, inferred or not-sure facts without any one of which the claims would not stand."""
    used = {fact.attribute for firing in evidence.firings for fact in firing.matched}
    weak = [
        name
        for name, fact in sorted(base_facts.items())
        if name in used and (not fact.direct or fact.sureness is Sureness.NOT_SURE)
    ]
    if not weak or _holds(reasoner, claims, without(base_facts, *weak)):
        return ()
    return tuple(_title(reasoner, name) for name in weak if not _holds(reasoner, claims, without(base_facts, name)))


def carrying_facts(
    reasoner: Reasoner,
    evidence: Evidence,
    base_facts: Facts,
    leading: tuple[str, ...],
    belief: Belief,
    weights: Mapping[str, Mapping[str, float]],
) -> tuple[str, ...]:
    """The titles of single facts without which a leading cause would no longer be likely."""
    level = reasoner.rulebook.parameter("determined-at-least")
    marginals = belief.posterior.marginals
    targets = [cause for cause in leading if marginals[cause] >= level]
    if not targets:
        return ()
    decisive = {
        finding
        for finding, shares in weights.items()
        for cause in targets
        if _after(marginals[cause], shares.get(cause, 0.0)) < level
    }
    candidates = sorted(
        {
            fact.attribute
            for firing in evidence.firings
            if any(c.kind == "finding" and c.target in decisive for c in firing.conclusions)
            for fact in firing.matched
            if fact.attribute in base_facts
        }
    )
    carrying = []
    for name in candidates:
        posterior = reasoner.believe(reasoner.suppose(without(base_facts, name))).posterior
        if any(posterior.marginals[cause] < level for cause in targets):
            carrying.append(_title(reasoner, name))
    return tuple(carrying)


def _after(probability: float, decibans: float) -> float:
    """The probability once a finding's weight of evidence [dB] is taken away."""
    if probability >= 1:
        return 1.0
    value = probability / (1 - probability) * 10 ** (-decibans / 10)
    return float(value / (1 + value))


def _title(reasoner: Reasoner, attribute: str) -> str:
    known = reasoner.rulebook.attributes.get(attribute)
    return known.title if known else attribute
