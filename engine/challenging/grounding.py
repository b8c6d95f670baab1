"""What the grounds that a report states would support if they were all that was known, and what they cannot show."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from engine.challenging.checking import needed_checks
from engine.challenging.models import Grounds, Weighing
from engine.challenging.rivals import rivals
from engine.challenging.standing import beliefs, likely_causes
from engine.challenging.weighed import Weighed
from engine.opinion.determining import gate_state
from engine.opinion.reasoner import Evidence


def grounded(weighed: Weighed, held: tuple[str, ...], ids: tuple[str, ...], breaks: tuple[Weighing, ...]) -> Grounds:
    """What these grounds alone support; all of them are known to the rule base."""
    rulebook, facts = weighed.reasoner.rulebook, weighed.evidence.facts
    evidence, used = _evidence_from(weighed, ids)
    alone = replace(weighed, evidence=evidence, belief=weighed.reasoner.believe(evidence))
    states = {seen.finding: seen.state for seen in evidence.observations}
    believed = {name: fact for name, fact in facts.items() if name in used or name in states}
    gates = {cause: gate_state(weighed.reasoner, cause, believed) for cause in held}
    recorded = [name for name in ids if name in facts]
    return Grounds(
        ids=ids,
        titles=tuple(rulebook.title(name) for name in ids),
        unrecorded=tuple(rulebook.title(name) for name in ids if name not in facts),
        silent=tuple(rulebook.title(name) for name in recorded if name not in used),
        findings=tuple((name, rulebook.findings[name].title, state) for name, state in states.items()),
        held=beliefs(alone, held),
        likely=beliefs(alone, likely_causes(alone)),
        rivals=tuple(
            rival
            for rival in rivals(rulebook, alone.belief, held, weighed.wetting(), states)
            if rival.standing != "less-well"
        ),
        missing=tuple(check for check in needed_checks(weighed, gates) if not check.made),
        left_out=tuple(weighing for weighing in breaks if weighing.finding not in states),
    )


def _evidence_from(weighed: Weighed, ids: Collection[str]) -> tuple[Evidence, set[str]]:
    """The evidence that rests on these grounds and nothing else, and the grounds that some rule used.

    The answers among them are chained by themselves. Findings among them count as they were concluded, and so does
    every rule that rested on nothing but grounds and what they support.
    """
    whole, findings = weighed.evidence, weighed.reasoner.rulebook.findings
    alone = weighed.reasoner.find({name: whole.facts[name] for name in ids if name in whole.facts.keys() - findings})
    fired = {firing.rule for firing in alone.firings}
    admitted = {*ids, *(seen.finding for seen in alone.observations)}
    firings = list(alone.firings)
    for firing in whole.firings:
        names = {fact.attribute for fact in firing.matched}
        if firing.rule not in fired and names and names <= admitted:
            firings.append(firing)
            admitted |= {conclusion.target for conclusion in firing.conclusions if conclusion.kind == "finding"}
    own = {seen.finding: seen for seen in alone.observations}
    observations = tuple(own.get(seen.finding, seen) for seen in whole.observations if seen.finding in admitted)
    used = {fact.attribute for firing in firings for fact in firing.matched} | {seen.finding for seen in observations}
    evidence = replace(whole, firings=tuple(firings), contested={}, observations=observations)
    return evidence, used & set(ids)
