"""Which checks a conclusion needs and lacks, and whether works for it must wait for them."""

from __future__ import annotations

from collections.abc import Mapping

from engine.challenging.models import NeededCheck, Proposal, Work
from engine.challenging.weighed import Weighed
from engine.opinion.models import GateCheck

PROPOSED = "works-proposed"
"""The question that records works which somebody proposes; its choice ``none`` says that nobody does."""


def needed_checks(weighed: Weighed, gates: Mapping[str, tuple[GateCheck, ...]]) -> tuple[NeededCheck, ...]:
    """The checks of the held causes' gates, made or not, in the order of the gates."""
    rulebook = weighed.reasoner.rulebook
    return tuple(
        NeededCheck(
            cause=cause,
            rival=check.rival,
            rival_title=rulebook.title(check.rival),
            title=check.title,
            made=check.made,
            step=check.step,
            step_title=rulebook.title(check.step),
        )
        for cause, checks in gates.items()
        for check in checks
    )


def works(weighed: Weighed, held: tuple[str, ...]) -> tuple[Work, ...]:
    """The works that treat a held cause, in id order; one that cannot be undone waits until its cause is shown."""
    rulebook = weighed.reasoner.rulebook
    found = []
    for step in rulebook.steps.values():
        causes = tuple(cause for cause in step.treats if cause in held)
        if causes:
            reasons = tuple(reason for cause in causes for reason in _waits_for(weighed, cause))
            found.append(Work(step.id, step.title, causes, step.irreversible, reasons if step.irreversible else ()))
    return tuple(found)


def _waits_for(weighed: Weighed, cause: str) -> list[str]:
    opinion = weighed.opinion
    firm = opinion.leading if opinion.determined and opinion.level == "cause" else ()
    own = weighed.cause(cause)
    reasons = [] if cause in firm else [f"{own.title} is not determined"]
    return reasons + [f"not yet checked: {check.title}" for check in own.gate if not check.made]


def proposal(weighed: Weighed) -> Proposal | None:
    """What the case says is proposed, and what the rules that know of it want first; None where nothing is."""
    rulebook = weighed.reasoner.rulebook
    fact, question = weighed.evidence.facts.get(PROPOSED), rulebook.questions.get(PROPOSED)
    if fact is None or question is None or fact.value == "none":
        return None
    title = next((choice.title for choice in question.choices if choice.id == fact.value), str(fact.value))
    first = []
    for line in weighed.opinion.trace:
        rule = rulebook.rules.get(line.rule)
        if rule is not None and rule.stratum == "advice" and any(m.attribute == PROPOSED for m in line.matched):
            steps = tuple(rulebook.title(conclusion.step) for conclusion in rule.conclude if conclusion.step)
            first.append((rule.because, steps))
    return Proposal(title, tuple(first))
