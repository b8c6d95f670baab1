"""What leads astray in a case and what would have shown it, by the rules that say so."""

from __future__ import annotations

from collections.abc import Iterable

from engine.challenging.auditing import NOTHING
from engine.challenging.contrasting import weights_between
from engine.challenging.rivals import SPEAKS_DECIBANS
from engine.challenging.weighed import stated as finding_words
from engine.inference.chaining import Firing
from engine.inquiry.knowing import State
from engine.practising.models import Break, Trap
from engine.practising.subject import Subject
from engine.rulebook.models import Rule

MOST_FINDINGS, MOST_RULES = 3, 2
"""How many findings are named for one cause, and how many rules that point to a wrong one."""


def trap(subject: Subject) -> Trap | None:
    """The answer that the case is easily taken for, and the findings that break it; None where the key names none."""
    cause = subject.key.junior
    if cause is None or cause in subject.key.truth:
        return None
    held = {seen.finding: seen.state for seen in subject.found.evidence.observations}
    states = {seen.finding: seen.state for seen in subject.whole.evidence.observations}
    breaks = tuple(
        Break(name, subject.rulebook.findings[name].title, states[name], held.get(name) == states[name])
        for name in subject.key.breaks_junior
        if name in states
    )
    probability = subject.named.get(cause, 0.0)
    return Trap(cause, probability > subject.rulebook.parameter("unlikely"), probability, breaks)


def concluding(subject: Subject, state: State, finding: str) -> tuple[Firing, ...]:
    """The firings that concluded a finding as it stands."""
    states = {seen.finding: seen.state for seen in state.evidence.observations}
    return tuple(
        firing
        for firing in state.evidence.firings
        if any(
            c.kind == "finding" and (c.target, c.value) == (finding, states.get(finding)) for c in firing.conclusions
        )
    )


def because(subject: Subject, firings: Iterable[Firing]) -> str:
    """Why a finding is concluded, in the words of the first written rule; empty where it is simply observed."""
    for firing in firings:
        rule = subject.rulebook.rules.get(firing.rule)
        if rule is not None:
            return rule.because
    return ""


def found_by(subject: Subject, firings: Iterable[Firing]) -> tuple[str, ...]:
    """The titles of what a finding rests on: questions and measures."""
    names = [fact.attribute for firing in firings for fact in firing.matched]
    return tuple(dict.fromkeys(subject.rulebook.title(name) for name in names if name in subject.rulebook.records))


def misleading(subject: Subject, cause: str) -> tuple[Rule, ...]:
    """The written rules that fired on what was found and point most to a cause that is not at work."""
    weights: dict[str, float] = {}
    for leaning in subject.found.belief.leanings:
        if leaning.cause == cause and leaning.decibans > 0:
            weights[leaning.rule] = max(weights.get(leaning.rule, 0.0), leaning.decibans)
    for finding, causes in subject.found.belief.posterior.reasons().items():
        if causes.get(cause, 0.0) >= 1:
            for firing in concluding(subject, subject.found, finding):
                weights[firing.rule] = max(weights.get(firing.rule, 0.0), causes[cause])
    written = [name for name in weights if name in subject.rulebook.rules]
    written.sort(key=lambda name: (-weights[name], name))
    return tuple(subject.rulebook.rules[name] for name in written[:MOST_RULES])


def not_accounted_for(subject: Subject, cause: str) -> tuple[str, ...]:
    """The findings of the whole evidence for which the truth accounts and a wrong cause alone does not."""
    held = () if cause == NOTHING else (cause,)
    return _parting(subject, subject.key.truth, held)


def speaking_for(subject: Subject, cause: str) -> tuple[str, ...]:
    """The findings of the whole evidence for which the truth accounts and would not without one of its causes."""
    truth = subject.key.truth
    return _parting(subject, truth, tuple(other for other in truth if other != cause))


def _parting(subject: Subject, one: tuple[str, ...], other: tuple[str, ...]) -> tuple[str, ...]:
    weights = weights_between(subject.whole.belief.posterior, one, other)
    states = {seen.finding: seen.state for seen in subject.whole.evidence.observations}
    heavy = sorted((name for name in weights if weights[name] >= SPEAKS_DECIBANS), key=lambda n: (-weights[n], n))
    titles = subject.rulebook.findings
    return tuple(finding_words(titles[name].title, states[name]) for name in heavy[:MOST_FINDINGS])
